"""What each unit, each pair of steps and each change is worth.

Each channel of evidence counts in six ways (``WAYS``): for what a unit tells of, and for whether a step begins or ends
there. The words that announce a step are not those with which it goes on.
"""

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

_AT_ONCE = 1024
"""Units that are weighed together, so that four hours take little more memory than one."""
_BESIDE = 8
"""More units on either side than any evidence reaches over."""
_UNDER_WAY = 0.4
"""Steps of operations with less than this share of the likeliest one's score are not looked for."""
_BRIEF, _FEW = 1.6, 120
"""In a telling of few units steps are short: what a change gains there, and the units with which it gains a third."""
WAYS = ("during", "enters", "enters after", "enters before", "leaves", "leaves before")
"""What a channel's evidence is worth: during the step; where a step begins, of its first unit, of the one before, of
the second; where it ends, of its last unit and of the one after."""

Scores = NDArray[np.floating[Any]]


@dataclass(frozen=True)
class Potentials:
    """Scores of a recording: of each unit as each step, of each pair, and of each change."""

    columns: NDArray[np.int64]
    """The steps in question: columns of the knowledge; the last is none of them."""
    unit: Scores
    enters: Scores
    leaves: Scores
    first: Scores
    pair: Scores
    change: Scores
    back: Scores
    """What a step back gains at each unit."""
    backward: NDArray[np.bool_]


def columns_asked(telling: Telling, known: Knowledge) -> NDArray[np.int64]:
    """Give the columns of the steps of the operations that may be under way, of the shared ones, and of none."""
    asked = known.shared.copy()
    for guess in telling.guesses:
        if guess.share >= _UNDER_WAY:
            asked |= known.order[guess.procedure] >= 0
    asked[known.none] = True
    return np.nonzero(asked)[0]


def potentials(telling: Telling, known: Knowledge, learned: Learned, weights: Mapping[str, Any]) -> Potentials:
    """Weigh all evidence of a recording."""
    units, asked = telling.units, columns_asked(telling, known)
    unit, enters, leaves = worth(telling, known, learned, weights, asked)
    evidence, backward = pair_evidence(known, learned, telling.guesses)
    evidence = evidence[np.append(asked, known.columns)][:, asked]
    pair = evidence.astype(float) @ np.array([weights["pairs"].get(name, 0.0) for name in PAIRS])
    change = change_evidence(units, CHANGES) @ np.array([weights["changes"].get(name, 0.0) for name in CHANGES])
    change = change + weights["changes"].get("boundary", 0.0) * np.array(
        boundary_scores(telling, weights.get("boundary", {}))
    )
    back = change_evidence(units, RETURNS) @ np.array([weights["returns"].get(name, 0.0) for name in RETURNS])
    backward = backward[np.ix_(asked, asked)]
    change += weights["eagerness"] + _BRIEF * np.exp(-len(units) / _FEW)
    return Potentials(asked, unit, enters, leaves, pair[-1], pair[:-1], change, back, backward)


def worth(
    telling: Telling, known: Knowledge, learned: Learned, weights: Mapping[str, Any], asked: NDArray[np.int64]
) -> tuple[Scores, Scores, Scores]:
    """Give what each unit is worth as each step, as its first unit, and as its last one: some units at a time."""
    units, total = telling.units, len(telling.units)
    none = np.array([weights["none"].get(name, 0.0) for name in NONE_EVIDENCE])
    of_none = np.array([[tell(one) for tell in NONE_EVIDENCE.values()] for one in units]) @ none
    size = (total, len(asked))
    found = np.empty(size, np.float32), np.empty(size, np.float32), np.empty(size, np.float32)
    for first in range(0, total, _AT_ONCE):
        last = min(total, first + _AT_ONCE)
        low, high = max(0, first - _BESIDE), min(total, last + _BESIDE)
        ways = np.zeros((len(WAYS), high - low, len(asked)))
        for name, matrix in channels(telling.part(low, high), known, learned):
            if name in weights["channels"]:
                own = matrix.take(asked, axis=1)
                for way, weight in enumerate(weights["channels"][name]):
                    if weight:
                        ways[way] += np.float32(weight) * own
        ways[0, :, -1] += of_none[low:high]
        for whole, part in zip(found, joined(ways), strict=True):
            whole[first:last] = part[first - low : last - low]
    return found


def joined(ways: Scores) -> tuple[Scores, Scores, Scores]:
    """Give what each unit is worth as each step, as its first unit, and as its last one; ``ways`` as in ``WAYS``."""
    during, enters, after, before, leaves, leaves_before = ways
    begins, ends = enters.copy(), leaves.copy()
    begins[1:] += after[:-1]
    begins[:-1] += before[1:]
    ends[:-1] += leaves_before[1:]
    return during, begins, ends


def shares(scores: Potentials, known: Knowledge) -> Matrix:
    """Give each unit's share of every step, by its own evidence alone."""
    found: Matrix = np.zeros((len(scores.unit), known.columns), np.float32)
    for first in range(0, len(found), _AT_ONCE):
        own = scores.unit[first : first + _AT_ONCE]
        grown = np.exp(own - own.max(1, keepdims=True))
        found[first : first + _AT_ONCE, scores.columns] = grown / grown.sum(1, keepdims=True)
    return found
