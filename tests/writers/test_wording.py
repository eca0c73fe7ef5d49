"""Numbers, times, names and grammar in either language."""

from __future__ import annotations

from typing import Any

import pytest

from otochron.lexicon import load
from otochron.model import Lang, Measurement
from otochron.writers.language import GRAMMARS
from otochron.writers.wording import Wording, clock, size

LEXICON = load()


def measured(**values: Any) -> Measurement:
    place = {"line": "line-1", "start": 0, "to_line": "line-1", "end": 1, "start_ms": 0, "end_ms": 1}
    common = {**place, "id": "m", "surface": "x", "quantity": "size", "value": None, "unit": "mm"}
    return Measurement.model_validate({**common, **values})


@pytest.mark.parametrize(
    ("values", "en", "fr"),
    [
        ({"value": 4.5}, "4.5\u00a0mm", "4,5\u00a0mm"),
        ({"value": 0.6}, "0.6\u00a0mm", "0,6\u00a0mm"),
        ({"low": 4.0, "high": 4.5}, "4\u00a0to\u00a04.5\u00a0mm", "4\u00a0à\u00a04,5\u00a0mm"),
        ({"value": 40.0, "unit": "%"}, "40%", "40\u00a0%"),
        ({"value": 30.0, "unit": "deg", "quantity": "angle"}, "30°", "30°"),
        ({"value": 5e-06, "unit": "1", "quantity": "ratio"}, "1:200\u00a0000", "1:200\u00a0000"),
        ({"value": 6.0, "unit": "{clock}", "quantity": "clock"}, "6\u00a0o’clock", "6\u00a0heures"),
        ({"value": 1.0, "unit": "wk", "quantity": "time"}, "1\u00a0week", "1\u00a0semaine"),
        ({"value": 3.0, "unit": "wk", "quantity": "time"}, "3\u00a0weeks", "3\u00a0semaines"),
        ({"readings": (4.25, 4.4)}, "4.25/4.4?\u00a0mm", "4,25/4,4?\u00a0mm"),
        ({"low": 3.0}, "≥\u00a03\u00a0mm", "≥\u00a03\u00a0mm"),
        ({"value": 300.0, "unit": "um"}, "300\u00a0µm", "300\u00a0µm"),
    ],
)
def test_sizes_are_written_as_the_language_does(values: dict[str, Any], en: str, fr: str) -> None:
    assert (size(measured(**values), "en"), size(measured(**values), "fr")) == (en, fr)


@pytest.mark.parametrize(
    ("iso", "en", "fr"),
    [
        ("P7D", "7\u00a0days", "7\u00a0jours"),
        ("P1M", "1\u00a0month", "1\u00a0mois"),
        ("P1Y", "1\u00a0year", "1\u00a0an"),
        ("P2Y", "2\u00a0years", "2\u00a0ans"),
        ("PT12H", "12\u00a0hours", "12\u00a0heures"),
        ("PT1M30S", "1\u00a0minute 30\u00a0seconds", "1\u00a0minute 30\u00a0secondes"),
        ("P1.5M", "1.5\u00a0months", "1,5\u00a0mois"),
        ("healing", "healing", "healing"),
        ("P", "P", "P"),
    ],
)
def test_durations_are_written_in_words(iso: str, en: str, fr: str) -> None:
    assert (Wording(LEXICON, "en").span_of_time(iso), Wording(LEXICON, "fr").span_of_time(iso)) == (en, fr)


@pytest.mark.parametrize(("lang", "day"), [("en", "12\u00a0March\u00a02026"), ("fr", "12\u00a0mars\u00a02026")])
def test_days_are_written_in_words(lang: Lang, day: str) -> None:
    assert Wording(LEXICON, lang).day("2026-03-12") == day
    assert Wording(LEXICON, lang).day("soon") == "soon"


@pytest.mark.parametrize(("ms", "text"), [(0, "0:00"), (59_999, "0:59"), (3_600_000, "1:00:00")])
def test_times_are_short(ms: int, text: str) -> None:
    assert clock(ms) == text


@pytest.mark.parametrize(
    ("concept", "lang", "name"),
    [
        ("mri-scan", "en", "MRI"),
        ("mri-scan", "fr", "IRM"),
        ("rosen-needle", "fr", "aiguille de Rosen"),
        ("csf-leak", "fr", "fuite de LCR"),
        ("central", "fr", "central"),
    ],
)
def test_names_have_their_capitals(concept: str, lang: Lang, name: str) -> None:
    assert Wording(LEXICON, lang).name(concept) == name


def test_every_finding_can_be_worded_in_both_languages() -> None:
    genders = ("m", "f", "mp", "fp")
    for entry in LEXICON.of_kind("finding"):
        for lang in ("en", "fr"):
            words = Wording(LEXICON, lang)  # type: ignore[arg-type]
            grammar = GRAMMARS[lang]  # type: ignore[index]
            assert words.name(entry.id)
            for gender in genders:
                assert grammar.agree(words.name(entry.id), gender)


def test_phrases_of_both_languages_have_the_same_blanks() -> None:
    import string

    for entry in LEXICON.of_kind("rule"):
        if entry.role != "wording":
            continue
        for name, pair in entry.values.items():
            assert isinstance(pair, tuple), name
            blanks = [{part[1] for part in string.Formatter().parse(text) if part[1]} for text in pair]
            assert blanks[0] == blanks[1], name
