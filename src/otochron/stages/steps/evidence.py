"""How well each unit fits each step: named channels of evidence, units against steps.

A channel is a matrix with one row per unit and one column per step (and one for none of them). What a channel
is worth is fitted (``lexicons/weights/steps.json``, ``channels``).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import chain

import numpy as np

from otochron.lexicon.operations import Guess
from otochron.stages.steps.knowledge import Knowledge, Matrix
from otochron.stages.steps.learned import Learned
from otochron.stages.steps.units import Telling, Unit
from otochron.text.stream import Word

_DECAY = 0.7
_SHORT = 9.0
"""Added to the squared length of a unit, so that one rare word is not everything."""
_FULL = 1.5
_WIDE = 4
_AT_ONCE = 64
"""Units that are worked out together."""
_RARE = frozenset({"words near", "phrase over two", "name near", "targets near", "all near"})
"""These count otherwise for a step of which few narrations tell."""

Channels = Iterator[tuple[str, Matrix]]


def channels(telling: Telling, known: Knowledge, learned: Learned) -> Channels:
    """Give every channel, one at a time: a long recording has them one after another in memory."""
    units = telling.units
    yield "reader", learned.reader.read(telling)
    yield from _learned_channels(units, learned)
    names = _names(units, telling.stream, known)
    listed = chain(
        _word_channels(units, known),
        [("name", names), ("name near", _full(near(names, 1)))],
        _concept_channels(units, known),
    )
    for name, matrix in listed:
        yield name, matrix
        if name in _RARE:
            yield f"{name}, rare step", matrix * learned.rare
    yield from _operation_channels(units, known, telling.guesses)


def near(matrix: Matrix, reach: int) -> Matrix:
    """Add the neighbouring units' evidence, less with each unit between."""
    found = matrix.astype(np.float32).copy()
    for far in range(1, min(reach, len(matrix) - 1) + 1):
        found[far:] += _DECAY**far * matrix[:-far]
        found[:-far] += _DECAY**far * matrix[far:]
    return found


def _full(matrix: Matrix) -> Matrix:
    return np.minimum(matrix, _FULL)


def _rows(names: Sequence[Mapping[str, float]], index: Mapping[str, int], table: Matrix) -> Matrix:
    """Add the rows of a table that each unit names, times their weight."""
    found: Matrix = np.zeros((len(names), table.shape[1]), np.float32)
    for low in range(0, len(names), _AT_ONCE):
        places: list[int] = []
        weights: list[float] = []
        units: list[int] = []
        starts: list[int] = []
        for n, row in enumerate(names[low : low + _AT_ONCE], low):
            start = len(places)
            for name, weight in row.items():
                place = index.get(name)
                if place is not None:
                    places.append(place)
                    weights.append(weight)
            if len(places) > start:
                units.append(n)
                starts.append(start)
        if units:
            found[units] = np.add.reduceat(np.asarray(weights, np.float32)[:, None] * table[places], starts, axis=0)
    return found


def _cosines(names: Sequence[Mapping[str, float]], index: Mapping[str, int], table: Matrix) -> Iterator[Matrix]:
    """Give the cosine of units with steps: of the unit alone, with its neighbours, and with more of them."""
    total = _rows(names, index, table)
    squares = np.array([sum(w * w for name, w in row.items() if name in index) for row in names], np.float32)
    for reach in (0, 1, _WIDE):
        yield near(total, reach) / np.sqrt(near(squares, reach) + _SHORT)[:, None]


def _named(name: str, found: Iterator[Matrix]) -> Channels:
    for where, matrix in zip(("", " near", " wide"), found, strict=True):
        yield name + where, matrix


def _learned_channels(units: Sequence[Unit], learned: Learned) -> Channels:
    idf = dict(zip(learned.words, learned.idf.tolist(), strict=True))
    names = [{name: idf.get(name, 0.0) for name in unit.names} for unit in units]
    yield from _named("learned words", _cosines(names, learned.words, learned.by_word))
    concept_idf = dict(zip(learned.concepts, learned.concept_idf.tolist(), strict=True))
    spoken = [{fact: concept_idf.get(fact, 0.0) * worth for fact, worth in unit.facts} for unit in units]
    yield from _named("learned concepts", _cosines(spoken, learned.concepts, learned.by_concept))
    once = [dict.fromkeys(row, 0.2) for row in names]
    yield "pure words", (pure := _rows(once, learned.words, learned.word_purity))
    yield "pure words near", near(pure, 1)
    yield "pure concepts", _rows([dict.fromkeys(row, 1.0) for row in spoken], learned.concepts, learned.concept_purity)
    yield "usual", np.broadcast_to(learned.prior, (len(units), len(learned.prior)))


def _word_channels(units: Sequence[Unit], known: Knowledge) -> Channels:
    names = [{name: known.idf.get(name, 0.0) for name in unit.names} for unit in units]
    yield from _named("words", _cosines(names, known.words, known.by_word))
    yield "phrase", _phrases([set(unit.names) for unit in units], known)
    following = [*units[1:], None]
    yield (
        "phrase over two",
        _phrases([{*one.names, *(two.names if two else ())} for one, two in zip(units, following, strict=True)], known),
    )


def _phrases(names: Sequence[set[str]], known: Knowledge) -> Matrix:
    """Give the best overlap with a phrase of each step: the weight of its words that are there, squared."""
    found: Matrix = np.zeros((len(names), known.columns), np.float32)
    mass = known.phrase_mass
    for low in range(0, len(names), _AT_ONCE):
        some = names[low : low + _AT_ONCE]
        there = [
            (n * len(mass), name)
            for n, spoken in enumerate(some)
            for name in sorted(spoken & known.phrases_with.keys())
        ]
        if there:
            sizes = [len(known.phrases_with[name]) for _, name in there]
            places = np.concatenate([known.phrases_with[name] for _, name in there])
            places = places + np.repeat([first for first, _ in there], sizes)
            worth = np.repeat([known.idf[name] for _, name in there], sizes)
            got = np.bincount(places, worth, len(some) * len(mass)).reshape(len(some), len(mass))
            best = np.maximum.reduceat(got * got / (mass + 2), known.phrase_starts, axis=1)
            found[low : low + len(some), known.phrase_steps] = best / 6
    return found


def _names(units: Sequence[Unit], stream: Sequence[Word], known: Knowledge) -> Matrix:
    """Give the steps that are named outright."""
    found: Matrix = np.zeros((len(units), known.columns), np.float32)
    firsts = [unit.first for unit in units]
    for hit in known.names.find(stream):
        n = bisect_right(firsts, hit.first) - 1
        if n < 0 or hit.first >= units[n].last:
            continue
        for step in hit.concepts:
            column = known.index[step]
            found[n, column] = max(found[n, column], min(3, hit.last - hit.first) / 2)
    return found


def _concept_channels(units: Sequence[Unit], known: Knowledge) -> Channels:
    sure = [{m.concept: 1.0 for m in unit.mentions if m.concept and m.status == "affirmed"} for unit in units]
    other = [{m.concept: 1.0 for m in unit.mentions if m.concept and m.status != "affirmed"} for unit in units]

    def related(rows: Sequence[Mapping[str, float]], name: str) -> Matrix:
        return _rows(rows, known.concepts, known.by_concept[name])

    alone: dict[str, Matrix] = {}
    for name in ("targets", "instruments", "actions"):
        yes, no = related(sure, name), related(other, name)
        yield name, _full(yes)
        yield f"{name} not affirmed", _full(no)
        alone[name] = yes + np.float32(0.5) * no
    both = [{**dict.fromkeys(two, 0.5), **one} for one, two in zip(sure, other, strict=True)]
    yield "other", _full(related(both, "other"))
    around = {name: _full(near(matrix, 1)) for name, matrix in alone.items()}
    for name, matrix in around.items():
        yield f"{name} near", matrix
    for one, two in (("targets", "actions"), ("targets", "instruments"), ("actions", "instruments")):
        yield f"{one} x {two}", _full(alone[one]) * _full(alone[two])
    yield "targets x actions near", around["targets"] * around["actions"]
    yield "targets x instruments near", around["targets"] * around["instruments"]
    yield "all near", around["targets"] * around["actions"] * around["instruments"]


def _operation_channels(units: Sequence[Unit], known: Knowledge, guesses: Sequence[Guess]) -> Channels:
    """Give the steps of the operations that are likely; those of none are not excluded."""
    soft: Matrix = np.zeros(known.columns, np.float32)
    for guess in guesses:
        np.maximum(soft, np.float32(guess.share**2) * (known.order[guess.procedure] >= 0), out=soft)
    best = known.order[guesses[0].procedure] >= 0 if guesses else np.zeros(known.columns)
    yield "in an operation", np.broadcast_to(soft, (len(units), known.columns))
    yield "in the likeliest operation", np.broadcast_to(best.astype(np.float32), (len(units), known.columns))


def _share_not_affirmed(unit: Unit) -> float:
    return sum(m.status != "affirmed" for m in unit.mentions) / max(1, len(unit.mentions))


def _speaks_of(unit: Unit, *kinds: str) -> float:
    return float(any(m.kind in kinds for m in unit.mentions))


NoneEvidence = Callable[[Unit], float]
NONE_EVIDENCE: Mapping[str, NoneEvidence] = {
    "bias": lambda unit: float(unit.last > unit.first),
    "teaching": lambda unit: float(unit.register == "teaching"),
    "request": lambda unit: float(unit.register == "request"),
    "aside": lambda unit: float(unit.register == "aside"),
    "no concept": lambda unit: float(not unit.mentions),
    "length": lambda unit: len(unit.names) / 8,
    "planned": lambda unit: float("planned-now" in unit.cues),
    "habit": lambda unit: float(bool({"habit", "past-case", "would", "condition"} & unit.cues)),
    "not affirmed": _share_not_affirmed,
    "another day": lambda unit: float(any(m.status in ("past", "general", "hypothetical") for m in unit.mentions)),
    "act": lambda unit: _speaks_of(unit, "action"),
    "instrument": lambda unit: _speaks_of(unit, "instrument"),
    "illness": lambda unit: _speaks_of(unit, "disease", "procedure", "test", "complication"),
}
"""Evidence that nothing is being done."""
