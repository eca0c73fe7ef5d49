"""The best sequence of steps: Viterbi over units, with a price of change between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from otochron.stages.steps.boundary import boundary_scores
from otochron.stages.steps.evidence import NONE_EVIDENCE, channels
from otochron.stages.steps.knowledge import Knowledge, Matrix
from otochron.stages.steps.learned import Learned
from otochron.stages.steps.order import CHANGES, PAIRS, RETURNS, change_evidence, pair_evidence
from otochron.stages.steps.units import Telling

_NEVER = -1e9


@dataclass(frozen=True)
class Potentials:
    """Scores of a recording: of each unit as each step, of each pair, and of each change."""

    unit: NDArray[np.float64]
    first: NDArray[np.float64]
    pair: NDArray[np.float64]
    change: NDArray[np.float64]
    back: NDArray[np.float64]
    """What a step back gains at each unit."""
    backward: NDArray[np.bool_]


def potentials(telling: Telling, known: Knowledge, learned: Learned, weights: Mapping[str, Any]) -> Potentials:
    """Weigh all evidence of a recording."""
    units = telling.units
    unit = np.zeros((len(units), known.columns))
    worth = weights["channels"]
    for name, matrix in channels(telling, known, learned):
        if worth.get(name):
            unit += worth[name] * matrix
    none = np.array([weights["none"].get(name, 0.0) for name in NONE_EVIDENCE])
    unit[:, known.none] += np.array([[tell(one) for tell in NONE_EVIDENCE.values()] for one in units]) @ none
    evidence, backward = pair_evidence(known, learned, telling.guesses)
    pair = evidence.astype(float) @ np.array([weights["pairs"].get(name, 0.0) for name in PAIRS])
    change = change_evidence(units, CHANGES) @ np.array([weights["changes"].get(name, 0.0) for name in CHANGES])
    change = change + weights["changes"].get("boundary", 0.0) * np.array(
        boundary_scores(telling, weights.get("boundary", {}))
    )
    back = change_evidence(units, RETURNS) @ np.array([weights["returns"].get(name, 0.0) for name in RETURNS])
    return Potentials(unit, pair[-1], pair[:-1], change + weights["eagerness"], back, backward)


def best_path(scores: Potentials) -> list[int]:
    """Give the column of each unit in the best sequence."""
    total, columns = scores.unit.shape
    if not total:
        return []
    forward = scores.pair.copy()
    np.fill_diagonal(forward, _NEVER)
    here = scores.unit[0] + scores.first
    came = np.zeros((total, columns), np.int16)
    every = np.arange(columns)
    # From each step (a row) to each: turned round, so that the sources of a step lie side by side in memory.
    returning = {0.0: np.ascontiguousarray(forward.T)}
    for n in range(1, total):
        gain = float(scores.back[n])
        if gain not in returning:
            returning[gain] = np.ascontiguousarray((forward + gain * scores.backward).T)
        entered = here + returning[gain]
        source = entered.argmax(1)
        value = entered[every, source] + scores.change[n]
        stays = here >= value
        came[n] = np.where(stays, every, source)
        here = np.where(stays, here, value) + scores.unit[n]
    path = [int(here.argmax())]
    for n in range(total - 1, 0, -1):
        path.append(int(came[n][path[-1]]))
    return path[::-1]


def shares(scores: Potentials) -> Matrix:
    """Give each unit's share of every step, by its own evidence alone."""
    shifted = scores.unit - scores.unit.max(1, keepdims=True)
    grown = np.exp(shifted)
    found: Matrix = (grown / grown.sum(1, keepdims=True)).astype(np.float32)
    return found
