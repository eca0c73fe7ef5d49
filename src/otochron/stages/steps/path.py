"""The sequence of steps that is right for the most seconds, as far as the evidence tells.

Not the one best sequence: that may be right as a whole with little more likelihood than many others that agree among
themselves about most of the recording. How likely each step is at each unit comes from all sequences (forward and
backward sums); the path then gains the seconds it is right for, and each change costs ``CHANGE_S`` of them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from otochron.stages.steps.decode import Potentials, Scores
from otochron.stages.steps.units import Unit

CHANGE_S = 1.0
_WORD_S = 0.3
"""A word takes at least so long, whatever broken or missing times say."""
_TINY = 1e-300


def likelihood(scores: Potentials) -> Scores:
    """Give how likely each unit belongs to each step, over all sequences; a row per unit."""
    total, columns = scores.unit.shape
    apart = 1 - np.eye(columns)
    tables = {gain: np.exp(scores.pair + gain * scores.backward) * apart for gain in set(scores.back.tolist())}
    ahead = np.empty((total, columns))
    ahead[0] = scores.unit[0] + scores.first + scores.enters[0]
    for n in range(1, total):
        top = ahead[n - 1].max()
        own = np.exp(ahead[n - 1] - top)
        left = np.exp(ahead[n - 1] + scores.leaves[n - 1] - top)
        came = (left @ tables[scores.back[n]]) * np.exp(scores.enters[n] + scores.change[n])
        ahead[n] = np.log(own + came + _TINY) + top + scores.unit[n]
    behind = np.zeros(columns)
    for n in range(total - 1, 0, -1):
        later = behind + scores.unit[n]
        top = later.max()
        own = np.exp(later - top)
        begun = np.exp(later + scores.enters[n] - top)
        left = (tables[scores.back[n]] @ begun) * np.exp(scores.leaves[n - 1] + scores.change[n])
        behind = np.log(own + left + _TINY) + top
        ahead[n - 1] += behind
    ahead -= ahead.max(1, keepdims=True)
    np.exp(ahead, out=ahead)
    ahead /= ahead.sum(1, keepdims=True)
    return ahead


def seconds(unit: Unit) -> float:
    """Give how long a unit lasts."""
    return max(_WORD_S * (unit.last - unit.first), (unit.end_ms - unit.start_ms) / 1000)


def best_path(scores: Potentials, units: Sequence[Unit]) -> list[int]:
    """Give the column of each unit in the sequence that is right for the most seconds."""
    total, columns = scores.unit.shape
    if not total:
        return []
    gains = likelihood(scores)
    gains *= np.array([seconds(unit) for unit in units])[:, None]
    every = np.arange(columns)
    came = np.zeros((total, columns), np.int16)
    here = gains[0].copy()
    for n in range(1, total):
        best = int(here.argmax())
        stays = here >= here[best] - CHANGE_S
        came[n] = np.where(stays, every, best)
        here = np.where(stays, here, here[best] - CHANGE_S) + gains[n]
    path = [int(here.argmax())]
    for n in range(total - 1, 0, -1):
        path.append(int(came[n][path[-1]]))
    return [int(scores.columns[place]) for place in path[::-1]]
