"""Instructions: what and when. "For five days" is not "after five days"."""

from __future__ import annotations

from datetime import date

import pytest

from build import say
from otochron.lexicon import load
from otochron.model import MadeBy, Record
from otochron.pipeline import run
from otochron.stages.case.durations import due, duration

ALL = ("after", "for", "until", "every", "low", "high")


def told(*texts: str, day: str | None = None) -> Record:
    record = say(None, "so the plan is", *texts)
    return run(record.evolve(made_by=MadeBy(options={"date": day} if day else {})), load())


def plans(*texts: str) -> list[tuple[str | None, dict[str, str]]]:
    """What, and the parts of when that were said."""
    found = told(*texts).case.plan
    return [(p.what, p.when.model_dump(by_alias=True, exclude_none=True)) for p in found]


@pytest.mark.parametrize(
    ("text", "what", "when"),
    [
        ("wick out at day seven", "ear-wick", {"after": "P7D"}),
        ("ablation de la mèche à j sept", "ear-wick", {"after": "P7D"}),
        ("ablation de la mèche au cinquième jour", "ear-wick", {"after": "P5D"}),
        ("mèche enlevée dans trois semaines", "ear-wick", {"after": "P3W"}),
        ("audiogram in six weeks", "audiogram", {"after": "P6W"}),
        ("audiogramme à deux mois", "audiogram", {"after": "P2M"}),
        ("ear drops for five days", "ear-drops", {"for": "P5D"}),
        ("ear drops after five days", "ear-drops", {"after": "P5D"}),
        ("gouttes auriculaires deux fois par jour pendant cinq jours", "ear-drops", {"for": "P5D", "every": "PT12H"}),
        ("ear drops from week three for ten days", "ear-drops", {"after": "P3W", "for": "P10D"}),
        ("second look between twelve and eighteen months", "second-look", {"low": "P12M", "high": "P18M"}),
        ("second look entre douze et dix-huit mois", "second-look", {"low": "P12M", "high": "P18M"}),
        ("no nose blowing for three weeks", "no-nose-blowing", {"for": "P3W"}),
        ("pas d'avion pendant un mois", "no-flying", {"for": "P1M"}),
        ("pansement enlevé demain", "wound-dressing", {"after": "P1D"}),
        ("drops from day seven no hockey for four weeks", "ear-drops", {"after": "P7D"}),
        ("wick two days only", "ear-wick", {"after": "P2D"}),
        ("bed rest until tomorrow", "head-up-in-bed", {"until": "P1D"}),
        ("bed rest tonight up tomorrow", "head-up-in-bed", {}),
    ],
)
def test_instructions_have_their_times(text: str, what: str, when: dict[str, str]) -> None:
    assert plans(text) == [(what, when)]


def test_a_prohibition_shares_the_length_of_the_one_before() -> None:
    assert plans("no nose blowing for four weeks no heavy lifting") == [
        ("no-nose-blowing", {"for": "P4W"}),
        ("no-heavy-lifting", {"for": "P4W"}),
    ]


def test_a_list_of_prohibitions_shares_the_length_at_its_end() -> None:
    assert plans("no straining no flying for six weeks") == [
        ("no-heavy-lifting", {"for": "P6W"}),
        ("no-flying", {"for": "P6W"}),
    ]


def test_a_prohibition_with_an_end_of_its_own_shares_nothing() -> None:
    assert plans("pas d'avion six semaines pas de plongée jusqu'à mon feu vert") == [
        ("no-flying", {"for": "P6W"}),
        ("no-diving", {}),
    ]


def test_said_in_both_languages_an_instruction_counts_once() -> None:
    assert plans("no nose blowing for three weeks", "pas de mouchage pendant trois semaines") == [
        ("no-nose-blowing", {"for": "P3W"})
    ]


def test_due_dates_need_the_day_of_operation() -> None:
    assert [p.due for p in told("audiogram in six weeks").case.plan] == [None]
    assert [p.due for p in told("audiogram in six weeks", day="2026-03-02").case.plan] == ["2026-04-13"]


@pytest.mark.parametrize(
    ("start", "after", "day"),
    [
        (date(2026, 1, 31), "P1M", date(2026, 2, 28)),
        (date(2024, 2, 29), "P1Y", date(2025, 2, 28)),
        (date(2026, 12, 28), "P1W", date(2027, 1, 4)),
        (date(2026, 1, 1), "PT12H", None),
    ],
)
def test_due_follows_the_calendar(start: date, after: str, day: date | None) -> None:
    assert due(start, after) == day


def test_half_a_year_is_six_months() -> None:
    assert duration(0.5, "Y") == "P6M"
