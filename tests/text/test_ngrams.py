"""The model of narration: what is likely beside what, and in which recordings."""

from __future__ import annotations

import pytest

from otochron.text.ngrams import Ngrams, dump_ngrams, parse_ngrams

MODEL = Ngrams(
    {"the": 40, "<a>": 30, "<b>": 20, "word": 9910, "the <a>": 20},
    {"one": 10, "two": 10, "three": 10, "four": 10},
    {"one the": 9},
    {"one first form": 8, "one other": 2},
    {"the @one": 7, "@one word": 3},
    {"one two": 9, "three two": 1},
    {"0 one": 5, "0 two": 4, "1 three": 2, "1 two": 1, "2 four": 3},
)


def test_counts_come_back_from_their_text() -> None:
    assert parse_ngrams(dump_ngrams(MODEL)).parts == MODEL.parts


def test_a_model_of_few_counts_tells_nothing_of_recordings() -> None:
    small = Ngrams({"the": 1}, {"one": 1}, {})
    assert small.alike({"one"}) == {}
    assert small.told_in(["one"], {}) == pytest.approx((-2.89, -0.693), abs=0.01)


def test_the_neighbourhood_speaks_for_what_goes_together() -> None:
    together = MODEL.neighbourhood(["one"], MODEL.numbered(["two"]))
    apart = MODEL.neighbourhood(["one"], MODEL.numbered(["three"]))
    assert together > 0 > apart
    assert MODEL.neighbourhood(["one"], MODEL.numbered(["one", "unheard of"])) == 0


def test_recordings_alike_speak_of_the_same_things() -> None:
    alike = MODEL.alike({"one", "two"})
    assert sum(alike.values()) == pytest.approx(1)
    assert max(alike, key=lambda n: alike[n]) == "0"
    here, anywhere = MODEL.told_in(["one"], alike)
    assert here > anywhere
    there, anywhere = MODEL.told_in(["four"], alike)
    assert there < anywhere


def test_without_known_concepts_all_recordings_are_as_alike() -> None:
    assert set(MODEL.alike(set()).values()) == {1 / 3}
