"""Which step the words of a unit tell of, with those around it: multinomial logistic regression.

Beside the counts of ``learned.py``, which tell what is spoken during a step, this tells what sets the steps apart. Its
weights are data (``lexicons/weights/step-words.txt.xz``): the first line holds the steps, every other one a feature
and a character for each step, ``ZERO`` for no weight, ``GRAIN`` characters up or down for a weight of one.
"""

from __future__ import annotations

import lzma
from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from otochron.lexicon.weights import weights_folder
from otochron.stages.steps.knowledge import Knowledge, Matrix
from otochron.stages.steps.units import Telling, Unit

ZERO, GRAIN = 78, 16
FILE = "step-words.txt.xz"
NEAR = "~"
"""Before the name of a feature that counts in the units around it, too."""
REACH = (1.0, 0.7, 0.4, 0.25)
"""What a feature counts in its own unit, and in those one, two and three units away."""
_LEAST = 8.0
"""A share below the exponential of minus this is no worse than that."""
Features = dict[str, float]
Weights = Matrix | NDArray[np.int8]


def own_features(unit: Unit) -> Features:
    """Give the words, pairs of words, concepts, cues and the register of a unit."""
    found: Features = {"any": 1.0, f"register {unit.register}": 1.0}
    found |= {f"pair {one} {two}": 1.0 for one, two in pairwise(unit.names)}
    found |= {f"kind {mention.kind} {mention.status}": 0.5 for mention in unit.mentions}
    found |= {f"cue {cue}": 1.0 for cue in unit.cues}
    return found


def near_features(unit: Unit) -> Features:
    """Give the words and concepts of a unit: they tell of its neighbours as well."""
    return {f"word {name}": 1.0 for name in unit.names} | {f"concept {name}": worth for name, worth in unit.facts}


def features(telling: Telling) -> tuple[list[Features], list[Features]]:
    """Give the features of each unit alone, and those that count around it."""
    near = [near_features(unit) for unit in telling.units]
    return [own_features(unit) | row for unit, row in zip(telling.units, near, strict=True)], near


class Reader:
    """The weights over the steps of one lexicon, as numbers or as whole grains (``np.int8``), a quarter as large."""

    def __init__(self, names: Sequence[str], steps: Sequence[str], weights: Weights, known: Knowledge) -> None:
        self.names = {name: n for n, name in enumerate(names)}
        column = {entry.alias or entry.id: n for n, entry in enumerate(known.steps)} | {"none": known.none}
        place = {step: n for n, step in enumerate(steps)}
        there = [(to, place[step]) for step, to in column.items() if step in place]
        self.weights: Weights = np.zeros((len(self.names), known.columns), weights.dtype)
        self.weights[:, [to for to, _ in there]] = weights[:, [n for _, n in there]]

    def read(self, telling: Telling) -> Matrix:
        """Give the log of each unit's share of every step, halved; a row per unit."""
        own, near = features(telling)
        scores = self._rows(own) + around(self._rows([{NEAR + k: v for k, v in row.items()} for row in near]))
        scores -= scores.max(1, keepdims=True)
        shares = scores - np.log(np.exp(scores).sum(1, keepdims=True))
        halved: Matrix = (np.maximum(shares, -_LEAST) / 2).astype(np.float32)
        return halved

    def _rows(self, rows: Sequence[Mapping[str, float]]) -> Matrix:
        found: Matrix = np.zeros((len(rows), self.weights.shape[1]), np.float32)
        for n, row in enumerate(rows):
            known = [(self.names[name], worth) for name, worth in row.items() if name in self.names]
            if known:
                places, worth = zip(*known, strict=True)
                found[n] = np.asarray(worth, np.float32) @ self.weights[list(places)].astype(np.float32, copy=False)
        return found / np.float32(GRAIN) if self.weights.dtype == np.int8 else found  # a power of two: nothing is lost


def around(rows: Matrix) -> Matrix:
    """Add the rows of the neighbours, each for what it counts there."""
    found: Matrix = rows * np.float32(REACH[0])
    for far, worth in enumerate(REACH[1:], start=1):
        if far < len(rows):
            found[far:] += np.float32(worth) * rows[:-far]
            found[:-far] += np.float32(worth) * rows[far:]
    return found


def dump(names: Sequence[str], steps: Sequence[str], weights: Matrix) -> bytes:
    """Write weights as the file that :func:`load_reader` reads; features without weight are left out."""
    grains = np.clip(np.rint(weights * GRAIN), -45, 45).astype(np.int64) + ZERO
    lines = [" ".join(steps)]
    lines += [
        name + "\t" + row.astype(np.uint8).tobytes().decode("ascii")
        for name, row in sorted(zip(names, grains, strict=True), key=lambda pair: pair[0])
        if (row != ZERO).any()
    ]
    return lzma.compress("\n".join(lines).encode(), preset=9 | lzma.PRESET_EXTREME)


@lru_cache(maxsize=2)
def load_reader(known: Knowledge) -> Reader:
    """Read the weights for the steps that are known."""
    first, *lines = lzma.decompress((weights_folder() / FILE).read_bytes()).split(b"\n")
    steps = first.decode().split()
    parts = [line.rpartition(b"\t") for line in lines]
    grains = np.frombuffer(b"".join(row for _, _, row in parts), np.uint8).reshape(len(parts), len(steps))
    return Reader([name.decode() for name, _, _ in parts], steps, grains.astype(np.int8) - np.int8(ZERO), known)
