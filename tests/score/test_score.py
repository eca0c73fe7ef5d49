"""The whole score: a record made from its own gold is right; each slip is found with its line."""

from __future__ import annotations

import json

import pytest

from build import tell
from otochron.errors import GoldError
from otochron.lexicon import load
from otochron.model import Record
from otochron.score import read_gold, score_record, total

LINES = (
    "right ear stapedotomy",
    "the incus is mobile and the footplate is not floating",
    "the piston is four and a half millimetres",
)


@pytest.fixture(scope="module")
def record() -> Record:
    return tell(*LINES)


def gold(**changes: object) -> str:
    content: dict[str, object] = {
        "id": "made for this test",
        "side": "right",
        "procedures": ["stapedotomy"],
        "sentences": [{"start": 0, "end": 9, "lang": "en", "heard": " ".join(LINES), "meant": " ".join(LINES)}],
        "mentions": [
            {"time": 1, "heard": "incus", "term": "incus", "status": "affirmed"},
            {"time": 3, "heard": "floating", "term": "floating footplate", "status": "negated"},
        ],
        "measurements": [
            {
                "time": 5,
                "value": 4.5,
                "unit": "mm",
                "of": "stapes piston",
                "heard": "four and a half",
                "status": "affirmed",
            }
        ],
    }
    return json.dumps(content | changes)


def test_a_right_record_scores_one(record: Record) -> None:
    numbers = score_record(read_gold(gold()), record, load()).numbers()
    assert numbers["language"]["accuracy"] == 1.0
    assert numbers["measurements"]["exact"] == 1.0
    assert numbers["status"]["accuracy"] == 1.0
    assert numbers["facts"]["side right"] == 1


def test_slips_are_told_with_their_line(record: Record) -> None:
    wrong = gold(side="left", mentions=[{"time": 1, "heard": "incus", "term": "malleus", "status": "negated"}])
    misses = score_record(read_gold(wrong), record, load()).misses()
    kinds = {(miss["part"], miss["kind"]): miss["line"] for miss in misses}
    assert kinds[("mentions", "other concept")] == "line-2"
    assert kinds[("mentions", "status")] == "line-2"
    assert ("facts", "side wrong") in kinds


def test_scores_of_several_recordings_add_up(record: Record) -> None:
    one = score_record(read_gold(gold()), record, load())
    both = total([one, one]).numbers()
    assert both["measurements"]["gold"] == 2
    assert both["measurements"]["exact"] == 1.0


@pytest.mark.parametrize("text", ["{", "[]", '{"mentions": [{"time": "soon", "heard": "x"}]}'])
def test_a_gold_file_that_cannot_be_read_is_one_plain_line(text: str) -> None:
    with pytest.raises(GoldError) as caught:
        read_gold(text, "mine.json")
    assert "mine.json" in str(caught.value)
    assert "\n" not in str(caught.value)
