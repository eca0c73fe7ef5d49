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


def likelihood(scores: Potentials) -> Scores:
    """Give how likely each unit belongs to each step, over all sequences; a row per unit.

    Sums are brought to one at each unit: only what is likelier than what counts.
    """
    total, columns = scores.unit.shape
    apart = 1 - np.eye(columns)
    tables = {gain: np.exp(scores.pair + gain * scores.backward) * apart for gain in set(scores.back.tolist())}
    turned = {gain: np.ascontiguousarray(table.T) for gain, table in tables.items()}
    gains = scores.back.tolist()
    own = np.exp(scores.unit - scores.unit.max(1, keepdims=True))
    begins = np.exp(scores.enters + scores.change.astype(scores.enters.dtype)[:, None])
    ends = np.exp(scores.leaves)
    found = np.empty((total, columns))
    here = own[0] * np.exp(scores.first + scores.enters[0])
    found[0] = here = here / here.sum()
    for n in range(1, total):
        here = (here + (turned[gains[n]] @ (here * ends[n - 1])) * begins[n]) * own[n]
        here /= here.sum()
        found[n] = here
    after = np.ones(columns)
    for n in range(total - 1, 0, -1):
        later = after * own[n]
        after = later + (tables[gains[n]] @ (later * begins[n])) * ends[n - 1]
        after /= after.sum()
        found[n - 1] *= after
    found /= found.sum(1, keepdims=True)
    return found


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
