"""Stretches that are garbled beyond repair."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from otochron.model import Unclear
from otochron.stages.repair.context import Context
from otochron.stages.repair.judge import Verdict
from otochron.stages.repair.place import zipf
from otochron.text.ngrams import Ngrams
from otochron.text.stream import span_of

FEWEST: Final = 4
"""Unknown words of a garbled stretch."""
_BETWEEN: Final = 1
"""Known words that may stand between two unknown ones."""


def garbled(context: Context, verdicts: Sequence[Verdict], unknown: Sequence[int]) -> tuple[Unclear, ...]:
    """Give the stretches in which one unknown word follows another, where no repair is at hand."""
    mended = _words(verdict for verdict in verdicts if verdict.decision != "kept")
    return tuple(
        Unclear(span=span_of(context.stream, run[0], run[-1] + 1), reason="unknown words")
        for run in _runs([n for n in unknown if n not in mended])
    )


def withheld(verdicts: Sequence[Verdict], unknown: Sequence[int]) -> list[Verdict]:
    """Change nothing in the midst of unknown words: what stands beside a repair cannot speak for it there.

    A repair of less than half of such a stretch is not at hand.
    """
    mended = _words(verdict for verdict in verdicts if verdict.decision != "kept")
    lost = {n for run in _runs(unknown) if 2 * sum(m in mended for m in run) <= len(run) for n in run}
    return [
        replace(verdict, decision="kept") if lost.issuperset(_words([verdict])) else verdict for verdict in verdicts
    ]


def _words(verdicts: Iterable[Verdict]) -> set[int]:
    return {n for one in verdicts for n in range(one.candidate.near.first, one.candidate.near.last)}


def unknown_words(context: Context, ngrams: Ngrams) -> list[int]:
    """Give the places of words that no list and no narration knows, and that are of no term heard right."""
    return [
        n
        for n, word in enumerate(context.stream)
        if context.inside[n] is None
        and word.key.isalpha()
        and len(word.key) > 1
        and not zipf(word.key)
        and not ngrams.seen(word.key)
    ]


def _runs(odd: Sequence[int]) -> list[list[int]]:
    """Give the stretches of enough unknown words, hardly interrupted."""
    found: list[list[int]] = []
    for n in odd:
        if found and n - found[-1][-1] <= _BETWEEN + 1:
            found[-1].append(n)
        else:
            found.append([n])
    return [run for run in found if len(run) >= FEWEST]
