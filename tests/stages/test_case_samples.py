"""Facts of the samples against their gold: how many are right, none wrong where it would hurt."""

from __future__ import annotations

from pathlib import Path

import pytest

from otochron import api
from otochron.lexicon import load
from otochron.score import Score, read_gold, score_record, total

SAMPLES = Path(__file__).parents[2] / "samples"
RIGHT, WRONG = 0.83, 0.01
"""Floors of what is measured (0.861 right, 0.002 wrong of given); the aim is 0.95 right."""
NEVER_WRONG = ("side wrong", "implant wrong", "procedure wrong")


def scores(*, report: bool) -> list[Score]:
    """Score the samples of the report set, or the others."""
    found = []
    for folder in sorted(p.parent for p in SAMPLES.glob("*/gold.json")):
        gold = read_gold((folder / "gold.json").read_text("utf-8"), folder.name)
        if gold.report == report:
            record = api.extract(api.read(next(folder.glob("transcript.*"))))
            found.append(score_record(gold, record, load()))
    return found


def show(title: str, found: list[Score], capsys: pytest.CaptureFixture[str]) -> dict[str, float]:
    """Print the numbers of the facts, and give them."""
    numbers: dict[str, float] = total(found).numbers()["facts"]  # type: ignore[assignment]
    with capsys.disabled():
        print(f"\nfacts, {title}: right {numbers['right']:.3f}, wrong of given {numbers['wrong_of_given']:.4f}", end="")
        print(f", missed {numbers['missed']}, given without gold {numbers['extra']}")
    return numbers


def test_facts_of_the_samples(capsys: pytest.CaptureFixture[str]) -> None:
    numbers = show("samples", scores(report=False), capsys)
    assert numbers["right"] >= RIGHT
    assert numbers["wrong_of_given"] <= WRONG
    assert [name for name in NEVER_WRONG if numbers.get(name)] == []


def test_facts_of_the_report_set_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    show("report set", scores(report=True), capsys)
