"""The operated side: what does not count, contradictions, both ears in one sitting."""

from __future__ import annotations

from pathlib import Path

import pytest

from build import tell
from otochron.api import extract
from otochron.readers import read_bytes


@pytest.mark.parametrize(
    ("text", "side"),
    [
        ("time out right ear", "right"),
        ("this is a left stapedotomy", "left"),
        ("check-list oreille droite on est d'accord", "right"),
        ("time out left no sorry right ear", "right"),
        # None of these is a side.
        ("that is the right length", None),
        ("what is left is the malleus", None),
        ("en haut à droite de l'écran on voit la corde", None),
        # The other ear, and another day.
        ("on opère l'oreille gauche l'oreille droite a été opérée il y a dix ans", "left"),
        ("the left ear was done some years ago today right ear time out", "right"),
        ("ventilation tubes in both ears today", "both"),
        ("pose de diabolos des deux côtés", "both"),
    ],
)
def test_the_operated_side_is_read(text: str, side: str | None) -> None:
    assert tell(text).case.side.value == side


def test_two_ears_in_one_sitting_give_a_side_to_every_item() -> None:
    case = tell(
        "tubes in both ears today", "we start with the right ear", "the drum is dull",
        "now the left ear", "the drum is retracted",
    ).case  # fmt: skip
    assert case.side.value == "both"
    assert [(f.finding, f.side) for f in case.findings] == [("dull", "right"), ("retraction", "left")]


def test_evidence_stands_where_the_side_was_said() -> None:
    record = tell("time out", "right ear")
    assert [record.lines[1].text[s.start : s.end] for s in record.case.side.evidence] == ["right ear"]


def test_steps_are_of_the_ear_that_is_operated_not_of_one_that_is_named() -> None:
    """Invented gold of ``samples/ventilation-tubes-both``: right, then left, then back to the right for a look."""
    path = next((Path(__file__).parents[2] / "samples" / "ventilation-tubes-both").glob("transcript.*"))
    steps = extract(read_bytes(path.read_bytes(), path.name)).steps
    left = range(246_000, 456_000)
    for step in steps:
        assert step.side in ("left" if step.start_ms in left else "right", None), step.id
    by_id = {step.id: step for step in steps}
    assert all(by_id[step.revisit_of].side == step.side for step in steps if step.revisit_of)
