"""Stretches that are garbled beyond repair."""

from __future__ import annotations

from collections.abc import Sequence
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


def garbled(context: Context, verdicts: Sequence[Verdict], ngrams: Ngrams) -> tuple[Unclear, ...]:
    """Give the stretches in which one unknown word follows another, where no repair is at hand."""
    mended = {
        n
        for verdict in verdicts
        if verdict.decision != "kept"
        for n in range(verdict.candidate.near.first, verdict.candidate.near.last)
    }
    odd = [
        n
        for n, word in enumerate(context.stream)
        if n not in mended
        and context.inside[n] is None
        and word.key.isalpha()
        and len(word.key) > 1
        and not zipf(word.key)
        and not ngrams.seen(word.key)
    ]
    found: list[Unclear] = []
    run: list[int] = []
    for n in [*odd, len(context.stream) + 10]:
        if run and n - run[-1] > _BETWEEN + 1:
            if len(run) >= FEWEST:
                found.append(Unclear(span=span_of(context.stream, run[0], run[-1] + 1), reason="unknown words"))
            run = []
        run.append(n)
    return tuple(found)
