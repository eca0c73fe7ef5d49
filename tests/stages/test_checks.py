"""Checks: each doubt gives its check, with its level, and a plain recording gives none of the grave ones."""

from __future__ import annotations

import pytest

from build import tell

CALM = [
    "time out right ear stapedotomy for otosclerosis under general anaesthesia",
    "i raise the tympanomeatal flap the incus is mobile and the stapes is fixed",
]


@pytest.mark.parametrize(
    ("said", "code", "level"),
    [
        ("so that is a stapedotomy of the left ear", "side-two-said", "stop"),
        ("it is the right ear now i go into the left ear", "side-contradiction", "stop"),
        ("the piston is forty five millimetres", "size-decimal-shift", "look"),
        ("this is mister brannock", "personal-data", "stop"),
        ("i put in a zibrulonix", "unknown-name", "look"),
    ],
)
def test_doubts_give_their_check(said: str, code: str, level: str) -> None:
    record = tell(*CALM, said)
    assert (code, level) in {(check.code, check.level) for check in record.checks}
    for check in record.checks:
        assert check.message.en
        assert check.message.fr


def test_a_calm_recording_has_nothing_to_settle() -> None:
    record = tell(*CALM, "the piston is four and a half millimetres long")
    assert [check.code for check in record.checks if check.level == "stop"] == []


def test_a_side_that_was_not_said_must_be_settled() -> None:
    record = tell("i raise the tympanomeatal flap", "the incus is mobile", "the stapes is fixed", "i put in the piston")
    assert "side-not-said" in {check.code for check in record.checks}


def test_talk_about_something_else_gives_one_check_and_nothing_missing() -> None:
    record = tell("good morning everybody", "today we speak about the weather in the mountains")
    assert [check.code for check in record.checks] == ["no-operation"]
    assert record.missing == ()


def test_missing_items_name_their_source_and_leave_out_what_was_said() -> None:
    record = tell(*CALM, "no complication", "we pack the canal with a wick", "wick out at day seven")
    items = {missing.item for missing in record.missing}
    assert all(missing.source for missing in record.missing)
    assert {"surgeon-and-assistant", "signature", "blood-loss"} <= items
    assert not items & {"side-operated", "type-of-anaesthesia", "ear-packing", "postoperative-instructions"}
