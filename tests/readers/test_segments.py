"""Segments: words found in their text, times missing here and there."""

from __future__ import annotations

import json
from typing import Any

import pytest

from otochron.model import Record
from readers.read import read, rows, timed


def segments(*items: dict[str, Any], bare: bool = False) -> Record:
    return read(json.dumps(list(items) if bare else {"language": "fr", "segments": items}))


def words(*parts: tuple[str, float | None, float | None]) -> list[dict[str, Any]]:
    return [{"word": word, "start": start, "end": end, "p": 0.5} for word, start, end in parts]


@pytest.mark.parametrize("bare", [False, True])
def test_object_and_bare_list(bare: bool) -> None:
    record = segments({"start": 1, "end": 2.5, "text": " the flap "}, {"start": 3, "end": 4, "text": "x"}, bare=bare)
    assert rows(record) == [(1000, 2500, "the flap"), (3000, 4000, "x")]
    assert record.recording.time_basis == "cue"


@pytest.mark.parametrize(
    ("text", "listed", "expected"),
    [
        (" The flap.", [(" The", 0, 1), (" flap.", 1, 2)], [("The", 0, 1000), ("flap.", 1000, 2000)]),
        (
            "The flap, then.",
            [("the", 0, 1), ("flap", 1, 2), ("Then", 2, 3)],
            [("The", 0, 1000), ("flap", 1000, 2000), ("then", 2000, 3000)],
        ),
        ("l'étrier", [("l'", 0, 1), ("étrier", 1, 2)], [("l'", 0, 1000), ("étrier", 1000, 2000)]),
        ("l'étrier", [("l'", 0, 1), ("e\u0301trier.", 1, 2)], [("l'", 0, 1000), ("étrier", 1000, 2000)]),
        ("stapes", [(" sta", 0, 1), ("pes", 1, 2)], [("sta", 0, 1000), ("pes", 1000, 2000)]),
        (
            "at 4.5 mm",
            [("at", 0, 1), ("4.5", None, None), ("mm", 2, 3)],
            [("at", 0, 1000), ("mm", 2000, 3000)],
        ),
        ("a flap again", [("a", 0, 1), ("again", 2, 3)], [("a", 0, 1000), ("again", 2000, 3000)]),
        ("the annulus an", [("an", 1, 2)], [("an", 1000, 2000)]),
        ("the annulus", [("an", 1, 2), ("annulus", 2, 3)], [("annulus", 2000, 3000)]),
        (
            "the the the",
            [("the", 0, 1), ("the", 1, 2), ("the", 2, 3)],
            [("the", 0, 1000), ("the", 1000, 2000), ("the", 2000, 3000)],
        ),
        ("flap", [("flap", 1, None)], [("flap", 1000, 1000)]),
        ("flap", [("", 0, 1), ("...", 0, 1), ("flap", 1, 2)], [("flap", 1000, 2000)]),
    ],
)
def test_words_are_found_in_order(
    text: str, listed: list[tuple[str, float | None, float | None]], expected: list[tuple[str, int, int]]
) -> None:
    record = segments({"start": 0, "end": 9, "text": text, "words": words(*listed)})
    assert timed(record.lines[0]) == expected


@pytest.mark.parametrize(
    ("given", "p"),
    [
        ({"p": 0.25}, 0.25),
        ({"p": 1}, 1.0),
        ({"probability": 0.5}, 0.5),
        ({}, None),
        ({"p": None}, None),
        ({"p": 7}, None),
        ({"p": "high"}, None),
        ({"p": True}, None),
    ],
)
def test_probability_is_kept_if_it_is_one(given: dict[str, Any], p: float | None) -> None:
    record = segments({"start": 0, "end": 1, "text": "a", "words": [{"word": "a", "start": 0, "end": 1, **given}]})
    assert record.lines[0].words[0].p == p


@pytest.mark.parametrize(
    ("segment", "expected"),
    [
        ({"start": 1, "text": "a b"}, (1000, 1800, "a b")),
        ({"start": 1, "end": None, "text": "a", "words": words(("a", 1, 3))}, (1000, 3000, "a")),
        ({"text": "a b", "words": words(("a", None, None), ("b", 2, 3))}, (2000, 3000, "a b")),
        ({"start": 1, "end": 4, "words": words((" a", 1, 2), (" b", 2, 3))}, (1000, 4000, "a b")),
        ({"start": 1, "end": 4, "text": "a", "words": None}, (1000, 4000, "a")),
        ({"start": 1, "end": 4, "text": "a", "words": ["a", None, 3]}, (1000, 4000, "a")),
        ({"start": 1, "end": 4, "text": "a\ud800b\u0000c"}, (1000, 4000, "a b c")),
    ],
)
def test_what_is_missing_is_filled_in(segment: dict[str, Any], expected: tuple[int, int, str]) -> None:
    assert rows(segments(segment)) == [expected]


def test_missing_end_reaches_to_the_next_start() -> None:
    record = segments({"start": 1, "text": "a"}, {"start": 4, "end": 5, "text": "b"})
    assert rows(record) == [(1000, 4000, "a"), (4000, 5000, "b")]
    assert not record.recording.last_end_estimated


@pytest.mark.parametrize("key", ["voice", "speaker"])
def test_voices(key: str) -> None:
    assert segments({"start": 1, "end": 2, "text": "a", key: "S1"}).lines[0].voice == "S1"


@pytest.mark.parametrize(("known", "basis"), [(10, "word"), (9, "word"), (8, "cue")])
def test_time_basis_is_the_word_if_nine_in_ten_have_times(known: int, basis: str) -> None:
    listed = [(f"w{n}", float(n), n + 1.0) if n < known else (f"w{n}", None, None) for n in range(10)]
    text = " ".join(word for word, _, _ in listed)
    assert segments({"start": 0, "end": 10, "text": text, "words": words(*listed)}).recording.time_basis == basis


@pytest.mark.parametrize("text", ["[]", '{"segments": []}'])
def test_no_segments_give_an_empty_record(text: str) -> None:
    assert read(text).lines == ()
