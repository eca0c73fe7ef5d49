"""What a stretch tells beside its step: completion, structures, instruments, sizes, side, echoes."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

from otochron.model import Measurement, Span
from otochron.stages.steps.knowledge import Knowledge, Matrix
from otochron.stages.steps.segments import Stretch, best_units
from otochron.stages.steps.units import Unit, stem
from otochron.text.stream import Word, span_of, split_words

Completion = Literal["said", "implied", "unsaid"]

_STRUCTURES = frozenset({"structure", "landmark"})
_TOLD = frozenset({"affirmed", "uncertain", "planned"})
_USED = frozenset({"affirmed"})
"""An instrument that was only to be taken is not told as used."""
_DONE_WORDS = 0.75
"""A phrase of completion counts as said if this share of its words was."""


Spans = tuple[Span, ...]


def spoken_concepts(units: Sequence[Unit], kinds: frozenset[str], statuses: frozenset[str] = _TOLD) -> tuple[str, ...]:
    """Give the concepts of some kinds that hold in a stretch, the most spoken first."""
    counts = Counter(
        m.concept for u in units for m in u.mentions if m.concept and m.kind in kinds and m.status in statuses
    )
    return tuple(concept for concept, _ in sorted(counts.items(), key=lambda item: (-item[1], item[0])))


def structures(units: Sequence[Unit]) -> tuple[str, ...]:
    """Give the structures of a stretch."""
    return spoken_concepts(units, _STRUCTURES)


def instruments(units: Sequence[Unit]) -> tuple[str, ...]:
    """Give the instruments used in a stretch."""
    return spoken_concepts(units, frozenset({"instrument"}), _USED)


class Sizes:
    """Measurements by time."""

    def __init__(self, measurements: Sequence[Measurement]) -> None:
        self._found = sorted(measurements, key=lambda m: (m.start_ms, m.id))
        self._starts = [m.start_ms for m in self._found]

    def between(self, start_ms: int, end_ms: int) -> tuple[str, ...]:
        """Give the ids of those that begin inside a time."""
        return tuple(m.id for m in self._found[bisect_left(self._starts, start_ms) : bisect_left(self._starts, end_ms)])


def spans(stream: Sequence[Word], units: Sequence[Unit], part: Stretch, shares: Matrix) -> tuple[Spans, Spans]:
    """Give the evidence of a stretch, and the echoes: what only says again what was said."""
    echoed = [n for n in range(part.first, part.last) if is_echo(units[n])]
    best = best_units(part, shares)
    evidence = [n for n in best if n not in echoed] or best
    rest = [n for n in echoed if n not in evidence]
    return tuple(_span(stream, units[n]) for n in evidence), tuple(_span(stream, units[n]) for n in rest)


def is_echo(unit: Unit) -> bool:
    """Tell whether every concept of a unit was said before in the other language."""
    spoken = [m for m in unit.mentions if m.concept]
    return bool(spoken) and all(m.echo_of for m in spoken)


def _span(stream: Sequence[Word], unit: Unit) -> Span:
    return span_of(stream, unit.first, unit.last)


@lru_cache(maxsize=2)
def _done_phrases(known: Knowledge) -> list[list[frozenset[str]]]:
    """Give the stems of the phrases that say that a step is over."""
    told = ([*step.en.done_phrases, *step.fr.done_phrases] for step in known.steps)
    return [[frozenset(stem(text[a:b]) for a, b in split_words(text)) for text in texts] for texts in told]


class Ends:
    """Tells whether a step was said to be over, or what came next means that it was."""

    def __init__(self, known: Knowledge) -> None:
        self._known = known
        self._phrases = _done_phrases(known)

    def completion(self, units: Sequence[Unit], part: Stretch, later: Sequence[int]) -> Completion:
        """Give how the end of a stretch is known; ``later`` holds the columns of the steps that follow."""
        own = units[part.first : part.last]
        if any(self._said(unit, part.column) for unit in own) or "completion" in own[-1].cues:
            return "said"
        if part.last < len(units) and "completion" in units[part.last].opens:
            return "said"
        step = self._known.steps[part.column]
        following = {self._known.steps[column].id for column in later}
        if following & set(step.finished_by):
            return "implied"
        if later and self._after(part.column, later[0]):
            return "implied"
        return "unsaid"

    def _said(self, unit: Unit, column: int) -> bool:
        names = set(unit.names)
        return any(phrase and len(phrase & names) >= _DONE_WORDS * len(phrase) for phrase in self._phrases[column])

    def _after(self, column: int, following: int) -> bool:
        """Tell whether a step usually comes after another in some operation."""
        return any(0 <= place[column] < place[following] for place in self._known.order.values())
