"""Cut the recording into the units that are labelled, and read what each holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from otochron.lexicon import Lexicon
from otochron.lexicon.forms import token
from otochron.lexicon.operations import Guess, guess_procedures
from otochron.lexicon.weights import load_weights
from otochron.model import Measurement, Mention, Record, Register
from otochron.stages.steps.gaps import gap_scores, unit_starts
from otochron.text.normal import fold
from otochron.text.stream import Places, Word, words

CUES = (
    "opener",
    "return",
    "onward",
    "completion",
    "planned-now",
    "planned-later",
    "habit",
    "past-case",
    "look-back",
    "other-case",
    "condition",
    "would",
    "teaching",
    "asking",
)
PLAN_CUES = ("intended", "given-up")
"""Sought apart: their words are in longer cues too."""
_STEM = 6
_NOT_AFFIRMED = 0.6


@dataclass(frozen=True, slots=True)
class Unit:
    """A stretch of speech that gets one label: words ``first`` to ``last`` (half-open)."""

    first: int
    last: int
    start_ms: int
    end_ms: int
    """Where the next unit starts: a silence belongs to what was spoken before it."""
    spoken_ms: int
    """Where its last word ends."""
    gap: float
    """Log-odds that a statement begins here."""
    register: Register
    names: tuple[str, ...]
    """Its words, folded and cut to their stems."""
    mentions: tuple[Mention, ...]
    facts: tuple[tuple[str, float], ...]
    """What it speaks of, and how surely: concepts, pairs of an act and a thing (``cut+stapedius-tendon``), sizes."""
    cues: frozenset[str]
    opens: frozenset[str]
    """Roles of the cues with which it begins."""


@lru_cache(maxsize=1 << 14)
def stem(word: str) -> str:
    """Give the beginning of a folded word: enough to join the forms of a verb.

    >>> stem("décollement"), stem("décolle"), stem("flap")
    ('decoll', 'decoll', 'flap')
    """
    return fold(token(word))[:_STEM]


@dataclass(frozen=True, slots=True)
class Telling:
    """A recording as the decoder reads it."""

    record: Record
    stream: Sequence[Word]
    units: Sequence[Unit]
    guesses: Sequence[Guess]
    """Which operations it may be."""

    def part(self, first: int, last: int) -> Telling:
        """Give the same with some of the units alone."""
        return replace(self, units=self.units[first:last])


def read_telling(record: Record, lexicon: Lexicon) -> Telling:
    """Give the units of a record, in order; together they hold every word once."""
    stream = words(record)
    spoken = [(m.concept, m.status) for m in record.mentions if m.concept]
    return Telling(record, stream, _cut(record, stream, lexicon) if stream else (), guess_procedures(spoken, lexicon))


def _cut(record: Record, stream: Sequence[Word], lexicon: Lexicon) -> list[Unit]:
    places = Places(stream, record.lines)
    clauses = sorted((places.first(clause.span), clause.register_) for clause in record.clauses)
    scores = gap_scores(record, stream, places, lexicon, load_weights("clauses"))
    starts = unit_starts(scores, {place for place, _ in clauses})
    bounds = list(zip(starts, [*starts[1:], len(stream)], strict=True))
    unit_of = [n for n, (first, last) in enumerate(bounds) for _ in range(first, last)]
    mentions: list[list[Mention]] = [[] for _ in bounds]
    for mention in record.mentions:
        place = places.first(mention)
        if place < len(stream):
            mentions[unit_of[place]].append(mention)
    measured: list[list[Measurement]] = [[] for _ in bounds]
    for measurement in record.measurements:
        place = places.first(measurement)
        if place < len(stream):
            measured[unit_of[place]].append(measurement)
    cues: list[set[str]] = [set() for _ in bounds]
    opens: list[set[str]] = [set() for _ in bounds]
    for roles in (CUES, PLAN_CUES):
        for hit in lexicon.cue_finder(*roles).find(stream):
            n = unit_of[hit.first]
            heard = {role for concept in hit.concepts if (role := lexicon[concept].role)}
            cues[n] |= heard
            if hit.first == bounds[n][0]:
                opens[n] |= heard
    registers = _registers(clauses, starts)
    total_ms = max(record.recording.duration_ms, stream[-1].end_ms)
    found: list[Unit] = []
    clock = 0
    for n, (first, last) in enumerate(bounds):
        start_ms = max(clock, stream[first].start_ms)
        clock = max(start_ms, stream[last].start_ms if last < len(stream) else total_ms)
        found.append(
            Unit(
                first=first,
                last=last,
                start_ms=start_ms,
                end_ms=clock,
                spoken_ms=min(clock, max(start_ms, stream[last - 1].end_ms)),
                gap=scores[first],
                register=registers[n],
                names=tuple(stem(word.text) for word in stream[first:last]),
                mentions=tuple(mentions[n]),
                facts=_facts(mentions[n], measured[n]),
                cues=frozenset(cues[n]),
                opens=frozenset(opens[n]),
            )
        )
    return found


def _facts(mentions: Sequence[Mention], measured: Sequence[Measurement]) -> tuple[tuple[str, float], ...]:
    found: dict[str, float] = {}

    def add(name: str, worth: float) -> None:
        found[name] = max(worth, found.get(name, 0.0))

    for mention in mentions:
        if mention.concept:
            add(mention.concept, 1.0 if mention.status == "affirmed" else _NOT_AFFIRMED)
    acts = sorted({m.concept for m in mentions if m.concept and m.kind == "action"})
    things = sorted({m.concept for m in mentions if m.concept and m.kind != "action"})
    for act in acts:
        for thing in things:
            add(f"{act}+{thing}", min(found[act], found[thing]))
    for one in measured:
        add(f"{one.quantity}:{one.unit}", 1.0 if one.status == "affirmed" else _NOT_AFFIRMED)
    return tuple(sorted(found.items()))


def _registers(clauses: Sequence[tuple[int, Register]], starts: Sequence[int]) -> list[Register]:
    """Give the register of the clause in which each unit begins."""
    if not clauses:
        return ["narration"] * len(starts)
    found: list[Register] = []
    n = 0
    for first in starts:
        while n + 1 < len(clauses) and clauses[n + 1][0] <= first:
            n += 1
        found.append(clauses[n][1])
    return found
