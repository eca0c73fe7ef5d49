"""The ten checks hold for the shipped word lists, with all of them loaded together."""

from __future__ import annotations

from otochron.lexicon import SPOKEN_KINDS, load
from otochron.lexicon.check import check


def test_shipped_word_lists_have_no_problem() -> None:
    assert check(load()) == []


def test_shipped_word_lists_hold_at_least_450_concepts() -> None:
    assert sum(entry.kind in SPOKEN_KINDS for entry in load().entries.values()) >= 450
