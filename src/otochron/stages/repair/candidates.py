"""From a record to its candidates: search, block, suppress, weigh."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Final

from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.stages.repair.blocks import blocked
from otochron.stages.repair.context import Context
from otochron.stages.repair.features import Candidate, energy, features, rival_margin
from otochron.stages.repair.near import Near, near
from otochron.stages.repair.targets import Targets, targets_of
from otochron.stages.repair.windows import protected, windows
from otochron.text.ngrams import Ngrams
from otochron.text.stream import heard_words

_AT_ONCE: Final = 12_000
"""Windows that are searched together."""
_EDGE: Final = 0.05
_LENGTH: Final = 0.006
_OTHER_LANGUAGE: Final = 0.03


def candidates(record: Record, lexicon: Lexicon, ngrams: Ngrams) -> tuple[Context, list[Candidate]]:
    """Give what may have been misheard, with what speaks for each."""
    stream = heard_words(record)
    context = Context(stream, lexicon.finder.find(stream), lexicon)
    found = [one for one in _near(context, ngrams, targets_of(lexicon)) if not blocked(one, context)]
    kept = suppress(found, context)
    numbers = features(kept, context, ngrams)
    for one, margin in zip(numbers, rival_margin(kept), strict=True):
        one["margin"] = margin / 10
    return context, [Candidate(one, its, energy(one)) for one, its in zip(kept, numbers, strict=True)]


def _near(context: Context, ngrams: Ngrams, targets: Targets) -> Iterator[Near]:
    """Search some windows at a time: all pairs of four hours at once would take 150 MB."""
    rest = iter(windows(context, ngrams))
    while batch := list(islice(rest, _AT_ONCE)):
        yield from near(batch, targets)


def suppress(found: Sequence[Near], context: Context) -> list[Near]:
    """Keep, among overlapping windows of one concept, the nearest."""
    function = protected(context.lexicon, "function")
    stream = context.stream

    def cost(one: Near) -> float:
        ends = (stream[one.first].key in function) + (stream[one.last - 1].key in function)
        language = stream[one.first].language != one.target.language
        return one.distance + _EDGE * ends - _LENGTH * len(one.target.phones) + _OTHER_LANGUAGE * language

    by_concept: dict[tuple[str, ...], list[Near]] = defaultdict(list)
    for one in found:
        by_concept[one.target.concepts].append(one)
    kept: list[Near] = []
    for group in by_concept.values():
        taken: set[int] = set()
        for one in sorted(group, key=lambda o: (cost(o), o.first, o.last, o.target.text)):
            places = range(one.first, one.last)
            if not taken.intersection(places):
                taken.update(places)
                kept.append(one)
    return sorted(kept, key=lambda o: (o.first, o.last, o.target.text))
