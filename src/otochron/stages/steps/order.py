"""How steps follow one another: evidence of a change, and of each pair of steps.

The order of an operation is a prior, never a rule: a step back costs something, and less where the surgeon says that
he goes back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from otochron.lexicon.operations import Guess
from otochron.stages.steps.knowledge import Knowledge, Matrix
from otochron.stages.steps.learned import Learned
from otochron.stages.steps.units import Unit

_LIKELY = 0.6
_FAR = 999
_SILENCE_MS = 2500
_ORDER = 2.0
"""The order of an operation counts as much as this many narrations …"""
_SKIP = 0.75
"""… and a step that is left out makes the next one less likely by this."""
_ALONE = 1.5
PAIRS = (
    "change",
    "usual",
    "next",
    "soon",
    "later",
    "much later",
    "far ahead",
    "just back",
    "back",
    "far back",
    "outside",
    "to none",
    "from none",
)
"""Names of the evidence of a pair of different steps."""


def pair_evidence(known: Knowledge, learned: Learned, guesses: Sequence[Guess]) -> tuple[Matrix, NDArray[np.bool_]]:
    """Give the evidence of each pair of steps, and which pairs go back.

    Returns
    -------
    (Matrix, array of bool)
        One more row than steps: what the recording begins with. The last axis is ``PAIRS``.
    """
    columns, none = known.columns, known.none
    found: Matrix = np.zeros((columns + 1, columns, len(PAIRS)), np.float32)
    found[:columns, :, PAIRS.index("change")] = 1
    found[:, :, PAIRS.index("usual")] = _usual(known, learned, guesses)
    away = np.full((columns, columns), _FAR)
    for guess in guesses:
        if guess.share >= _LIKELY:
            place = known.order[guess.procedure]
            known_both = (place[None, :] >= 0) & (place[:, None] >= 0)
            apart = np.where(known_both, place[None, :] - place[:, None], _FAR)
            away = np.where(np.abs(apart) < np.abs(away), apart, away)
    between = {
        "next": (1, 1),
        "soon": (2, 3),
        "later": (4, 8),
        "much later": (9, 16),
        "far ahead": (17, _FAR - 1),
        "just back": (-2, -1),
        "back": (-8, -3),
        "far back": (-_FAR, -9),
        "outside": (_FAR, _FAR),
    }
    steps = np.ones((columns, columns), bool)
    steps[none, :] = steps[:, none] = False
    for name, (low, high) in between.items():
        found[:columns, :, PAIRS.index(name)] = (away >= low) & (away <= high) & steps
    found[:, none, PAIRS.index("to none")] = 1
    found[none, :, PAIRS.index("from none")] = 1
    found[none, none] = 0
    return found, (away < 0) & steps


def _usual(known: Knowledge, learned: Learned, guesses: Sequence[Guess]) -> Matrix:
    """Give the log of how likely a step follows a step: counts of the narrations, and the order of the operations."""
    columns = known.columns
    prior = np.zeros((columns + 1, columns))
    for guess in guesses:
        if guess.share >= _LIKELY:
            place = known.order[guess.procedure]
            both = (place[None, :] >= 0) & (place[:, None] >= 0)
            apart = place[None, :] - place[:, None]
            prior[:columns] += np.where(both & (apart > 0), _SKIP ** (apart - 1.0).clip(0), 0.0)
    prior /= np.maximum(prior.sum(1, keepdims=True), 1.0)
    alone = (learned.pairs.sum(0) + 1.0) / (learned.pairs.sum() + columns)
    counts = learned.pairs + _ORDER * prior + _ALONE * alone
    total = learned.pairs.sum(1, keepdims=True) + _ORDER * prior.sum(1, keepdims=True) + _ALONE
    usual: Matrix = np.log(counts / total).astype(np.float32)
    return usual


class Change(NamedTuple):
    """A place where another step may begin."""

    before: Unit
    unit: Unit


ChangeEvidence = Callable[[Change], float]
CHANGES: Mapping[str, ChangeEvidence] = {
    "gap": lambda at: max(-2.0, min(6.0, at.unit.gap)) / 3,
    "sure gap": lambda at: float(at.unit.gap >= 1),
    "no gap": lambda at: float(at.unit.gap < 0),
    "opener": lambda at: float("opener" in at.unit.opens),
    "onward": lambda at: float("onward" in at.unit.opens),
    "planned now": lambda at: float("planned-now" in at.unit.cues),
    "look back": lambda at: float("look-back" in at.unit.cues),
    "completed before": lambda at: float("completion" in at.before.cues),
    "silence": lambda at: float(at.unit.start_ms - at.before.spoken_ms > _SILENCE_MS),
    "after a request": lambda at: float(at.before.register == "request"),
    "request": lambda at: float(at.unit.register == "request"),
    "teaching": lambda at: float(at.unit.register == "teaching"),
    "after teaching": lambda at: float(at.before.register == "teaching"),
    "aside": lambda at: float(at.unit.register == "aside"),
    "same register": lambda at: float(at.unit.register == at.before.register),
}
"""Evidence that another step begins with a unit."""
RETURNS: Mapping[str, ChangeEvidence] = {
    "return": lambda at: float("return" in at.unit.cues),
    "other ear": lambda at: float("other-case" in at.unit.cues),
}
"""Evidence that changes the price of a step back."""


def change_evidence(units: Sequence[Unit], table: Mapping[str, ChangeEvidence]) -> Matrix:
    """Give the evidence at the beginning of each unit; the first has none."""
    found: Matrix = np.zeros((len(units), len(table)), np.float32)
    for n in range(1, len(units)):
        place = Change(units[n - 1], units[n])
        found[n] = [tell(place) for tell in table.values()]
    return found
