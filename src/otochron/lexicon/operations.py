"""What operations a recording tells of, from the concepts that are spoken. Data: ``lexicons/procedures/``.

Each operation lists its ``signature``: concepts and steps that make it likely. A concept that many operations
list counts little; one that is spoken often counts a little more than one spoken once; what was another day, or
is denied, counts nothing.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from otochron.lexicon.load import Lexicon
from otochron.model import Status

_COUNTS: dict[Status, float] = {
    "affirmed": 1.0,
    "planned": 0.7,
    "uncertain": 0.5,
    "hypothetical": 0.2,
    "general": 0.2,
    "negated": 0.2,
    "retracted": 0.0,
    "past": 0.0,
}
_NAMED = 2.0
"""An operation that is named is worth two concepts of its signature."""
_TARGETS = 0.35
"""A target of a step that the operation needs, beside the signature."""
_SHARE = 0.45
"""An operation belongs to the recording if it has this share of the best one's score …"""
_LEAST = 2.0
"""… and at least this score."""


@dataclass(frozen=True)
class Guess:
    """One operation and how likely it is: ``share`` of the best score, 0 to 1."""

    procedure: str
    score: float
    share: float


def guess_procedures(spoken: Iterable[tuple[str, Status]], lexicon: Lexicon) -> list[Guess]:
    """Rank the operations that have steps by what was spoken.

    Parameters
    ----------
    spoken : iterable of (str, Status)
        Concept and status of each mention of the recording.
    lexicon : Lexicon
        Operations are its entries of kind ``procedure`` that have an ``order``.

    Returns
    -------
    list of Guess
        The best first; empty if nothing was spoken that belongs to an operation. Those that
        :func:`likely` keeps belong to the recording.
    """
    counts: Counter[str] = Counter()
    for concept, status in spoken:
        counts[concept] += _COUNTS[status]  # type: ignore[assignment]
    table = _signatures(lexicon)
    totals = {
        procedure: sum(weight * math.log1p(counts[concept]) for concept, weight in worth.items() if counts[concept] > 0)
        for procedure, worth in table.items()
    }
    best = max(totals.values(), default=0.0)
    if best <= 0:
        return []
    ranked = sorted(totals.items(), key=lambda item: (-item[1], item[0]))
    return [Guess(name, round(total, 4), round(total / best, 4)) for name, total in ranked if total > 0]


def likely(guesses: list[Guess]) -> list[str]:
    """Give the operations that belong to the recording, the best first."""
    return [g.procedure for g in guesses if g.score >= _LEAST and g.share >= _SHARE]


@lru_cache(maxsize=4)
def _signatures(lexicon: Lexicon) -> dict[str, dict[str, float]]:
    """Give each operation's concepts and their worth."""
    procedures = [entry for entry in lexicon.of_kind("procedure") if entry.order]
    found: dict[str, dict[str, float]] = {}
    listed: Counter[str] = Counter()
    for entry in procedures:
        concepts: dict[str, float] = {entry.id: _NAMED}
        for name in entry.signature:
            signed = lexicon.get(name)
            if signed is None:
                continue
            if signed.kind != "step":
                concepts[name] = 1.0
                continue
            for target in (*signed.targets, *signed.instruments):
                concepts.setdefault(target, _TARGETS)
        for named in lexicon.of_kind("procedure"):
            if entry.id in named.broader:
                concepts.setdefault(named.id, _NAMED / 2)
        found[entry.id] = concepts
        listed.update(concepts)
    many = len(procedures)
    return {
        name: {concept: worth * math.log((many + 1) / listed[concept]) for concept, worth in concepts.items()}
        for name, concepts in found.items()
    }
