"""Fit the reader of the timeline of steps (``stages/steps/reader.py``): multinomial logistic regression.

Learned from the units of the narrations and of the statements by step, and from the phrases and relations of the step
entries, which count less.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix, hstack, vstack

from otochron.stages.steps.knowledge import Knowledge
from otochron.stages.steps.learned import NONE
from otochron.stages.steps.reader import NEAR, REACH, Reader, features
from otochron.stages.steps.units import Telling, stem
from otochron.text.stream import split_words

RIDGE = 1.0
ROUNDS = 30
SEEN = 2
PHRASE = 0.3
LEAST = 0.06
"""Features none of whose weights is larger are left out."""

Rows = list[dict[str, float]]


@dataclass
class Read:
    """The features of one recording, and its true columns."""

    own: Rows
    near: Rows
    y: list[int]


def read(telling: Telling, labels: Sequence[str], known: Knowledge) -> Read:
    column = {entry.alias: n for n, entry in enumerate(known.steps)} | {NONE: known.none}
    own, near = features(telling)
    return Read(own, near, [column[label] for label in labels])


def told(known: Knowledge) -> Read:
    """Give the phrases of the step entries and their acts, things and instruments as units."""
    own: Rows = []
    y: list[int] = []
    for n, entry in enumerate(known.steps):
        for tongue in (entry.en, entry.fr):
            texts = [*tongue.forms, *tongue.phrases, *tongue.done_phrases]
            for text in [*texts, *(text for text in (tongue.title, tongue.past) if text)]:
                stems = [stem(text[a:b]) for a, b in split_words(text)]
                own.append({f"word {name}": 1.0 for name in stems} | {f"pair {a} {b}": 1.0 for a, b in pairwise(stems)})
        things = (*entry.targets, *entry.instruments)
        own += [{f"concept {name}": 1.0} for name in (*entry.actions, *things)]
        own += [
            {f"concept {name}": 1.0 for name in (act, thing, f"{act}+{thing}")}
            for act in entry.actions
            for thing in things
        ]
        y += [n] * (len(own) - len(y))
    near = [{k: v for k, v in row.items() if not k.startswith("pair ")} for row in own]
    return Read([row | {"any": 1.0, "register narration": 1.0} for row in own], near, y)


def _sparse(rows: Rows, index: dict[str, int]) -> csr_matrix:
    found = [[(index[k], v) for k, v in row.items() if k in index] for row in rows]
    ends = np.cumsum([0, *(len(row) for row in found)])
    flat = [pair for row in found for pair in row]
    return csr_matrix(
        (np.array([v for _, v in flat], np.float32), np.array([k for k, _ in flat], int), ends),
        shape=(len(rows), len(index)),
    )


def _around(rows: csr_matrix) -> csr_matrix:
    total = rows * REACH[0]
    for far, worth in enumerate(REACH[1:], start=1):
        if far < rows.shape[0]:
            none = csr_matrix((far, rows.shape[1]), dtype=np.float32)
            total = total + worth * vstack([none, rows[:-far]]) + worth * vstack([rows[far:], none])
    return total.tocsr()


def fit_weights(recordings: Sequence[Read], phrases: Read, columns: int) -> tuple[list[str], np.ndarray]:
    """Give the names of the features and their weights over the columns."""
    seen = Counter(name for one in (*recordings, phrases) for row in one.own for name in row)
    names = sorted(name for name, count in seen.items() if count >= SEEN)
    kinds = {"own": names, "near": [name for name in names if name.startswith(("word ", "concept "))]}
    index = {kind: {name: n for n, name in enumerate(kept)} for kind, kept in kinds.items()}
    x = vstack(
        [hstack([_sparse(one.own, index["own"]), _around(_sparse(one.near, index["near"]))]) for one in recordings]
        + [hstack([_sparse(phrases.own, index["own"]), _sparse(phrases.near, index["near"])])]
    ).tocsr()
    y = np.array([column for one in (*recordings, phrases) for column in one.y])
    worth = np.ones(len(y), np.float32)
    worth[len(y) - len(phrases.y) :] = PHRASE
    across, rows = x.T.tocsr(), np.arange(len(y))

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        z = x @ flat.reshape(x.shape[1], columns).astype(np.float32)
        z -= z.max(1, keepdims=True)
        grown = np.exp(z)
        total = grown.sum(1, keepdims=True)
        value = float((worth * (np.log(total[:, 0]) - z[rows, y])).sum())
        grown /= total
        grown[rows, y] -= 1
        slope = across @ (grown * worth[:, None])
        return value + RIDGE / 2 * float(flat @ flat), slope.ravel().astype(float) + RIDGE * flat

    start = np.zeros(x.shape[1] * columns)
    best = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS, "maxcor": 5}).x
    weights = best.reshape(-1, columns).astype(np.float32)
    kept = np.nonzero(np.abs(weights).max(1) >= LEAST)[0]
    every = [*kinds["own"], *(NEAR + name for name in kinds["near"])]
    return [every[n] for n in kept], weights[kept]


def fit_reader(recordings: Sequence[Read], phrases: Read, known: Knowledge) -> Reader:
    names, weights = fit_weights(recordings, phrases, known.columns)
    return Reader(names, steps(known), weights, known)


def steps(known: Knowledge) -> list[str]:
    """Give the names of the columns."""
    return [entry.alias or entry.id for entry in known.steps] + [NONE]
