"""A linear-chain conditional random field whose few weights are shared by all steps; gradient by forward-backward.

Only the fit needs it: the program decodes (``stages/steps/decode.py``). The loss is the softmax margin of Gimpel &
Smith (2010): wrong labels are made a little better than they are (``cost``), so that right ones must win clearly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import logsumexp

from otochron.stages.steps.decode import WAYS, joined

READER = 0
"""Where the channel of the reader stands: the fit begins with it alone."""
TOGETHER = 2
"""Recordings after which a step down is made."""
SPEED, FIRST, SECOND = 0.04, 0.9, 0.99


@dataclass
class Sequence1:
    """One recording: ``x`` is units x steps x channels, ``none`` the evidence of none, ``y`` the true labels."""

    x: np.ndarray
    none: np.ndarray
    pair: np.ndarray
    backward: np.ndarray
    change: np.ndarray
    back: np.ndarray
    y: np.ndarray

    @property
    def sizes(self) -> tuple[int, ...]:
        return (
            len(WAYS) * self.x.shape[2],
            self.none.shape[1],
            self.pair.shape[2],
            self.change.shape[1],
            self.back.shape[1],
        )


def cut(theta: np.ndarray, sizes: Sequence[int]) -> list[np.ndarray]:
    return np.split(theta, np.cumsum(sizes)[:-1])


def scores(s: Sequence1, theta: np.ndarray):
    tx, tn, tp, tc, tb = cut(theta, s.sizes)
    ways = (s.x @ tx.reshape(len(WAYS), -1).T.astype(np.float32)).astype(float).transpose(2, 0, 1)
    ways[0, :, -1] += s.none @ tn
    pair = (s.pair @ tp.astype(np.float32)).astype(float)
    return *joined(ways), pair[-1], pair[:-1], s.change @ tc, s.back @ tb


def loss(s: Sequence1, theta: np.ndarray, cost: float) -> tuple[float, np.ndarray]:
    """Give the loss of one recording and its gradient."""
    unit, enters, leaves, first, pair, change, back = scores(s, theta)
    n, k = unit.shape
    rows = np.arange(n)
    if cost:
        unit = unit + cost
        unit[rows, s.y] -= cost
    off = 1 - np.eye(k)
    gains = {gain: np.exp(pair + gain * s.backward) * off for gain in set(back.tolist())}
    ahead = np.zeros((n, k))
    ahead[0] = unit[0] + first + enters[0]
    for t in range(1, n):
        top = ahead[t - 1].max()
        p = np.exp(ahead[t - 1] - top)
        left = np.exp(ahead[t - 1] + leaves[t - 1] - top)
        ahead[t] = np.log(p + (left @ gains[back[t]]) * np.exp(change[t] + enters[t]) + 1e-300) + top + unit[t]
    behind = np.zeros((n, k))
    for t in range(n - 1, 0, -1):
        v = behind[t] + unit[t]
        top = v.max()
        q = np.exp(v - top)
        came = np.exp(v + enters[t] - top)
        behind[t - 1] = np.log(q + (gains[back[t]] @ came) * np.exp(change[t] + leaves[t - 1]) + 1e-300) + top
    total = logsumexp(ahead[-1])
    share = np.exp(ahead + behind - total)
    gold = unit[rows, s.y].sum() + first[s.y[0]] + enters[0, s.y[0]]
    left = ahead[:-1] + leaves[:-1]
    tops = left.max(1)
    v = behind[1:] + unit[1:] + enters[1:]
    vtops = v.max(1)
    p = np.exp(left - tops[:, None]) * np.exp(tops + vtops + change[1:] - total)[:, None]
    q = np.exp(v - vtops[:, None])
    expected = np.zeros((k, k))
    g_change, g_back, g_pair = np.zeros(s.change.shape[1]), np.zeros(s.back.shape[1]), np.zeros(s.pair.shape[2])
    d_enters, d_leaves = np.zeros((n, k)), np.zeros((n, k))
    d_enters[0] -= share[0]
    d_enters[0, s.y[0]] += 1
    for gain, table in gains.items():
        at = np.nonzero(back[1:] == gain)[0]
        entered = (p[at] @ table) * q[at]
        d_enters[1 + at] -= entered
        d_leaves[at] -= p[at] * (q[at] @ table.T)
        expected += (p[at].T @ q[at]) * table
        g_change -= entered.sum(1) @ s.change[1 + at]
        if s.back[1 + at].any():
            steps_back = ((p[at] @ (table * s.backward)) * q[at]).sum(1)
            g_back -= steps_back @ s.back[1 + at]
    for t in np.nonzero(s.y[1:] != s.y[:-1])[0]:
        a, b = s.y[t], s.y[t + 1]
        gold += pair[a, b] + change[t + 1] + back[t + 1] * s.backward[a, b] + enters[t + 1, b] + leaves[t, a]
        g_pair += s.pair[a, b]
        g_change += s.change[t + 1]
        g_back += s.back[t + 1] * s.backward[a, b]
        d_enters[t + 1, b] += 1
        d_leaves[t, a] += 1
    g_pair -= np.tensordot(expected, s.pair[:-1], ([0, 1], [0, 1]))
    g_pair += s.pair[-1, s.y[0]] - share[0] @ s.pair[-1]
    d = -share
    d[rows, s.y] += 1
    nothing = np.zeros((1, k))
    after, before = np.concatenate([d_enters[1:], nothing]), np.concatenate([nothing, d_enters[:-1]])
    ways = np.stack([d, d_enters, after, before, d_leaves, np.concatenate([nothing, d_leaves[:-1]])])
    g_x = ways.reshape(len(WAYS), -1).astype(np.float32) @ s.x.reshape(n * k, -1)
    return total - gold, -np.concatenate([g_x.ravel(), d[:, -1] @ s.none, g_pair, g_change, g_back])


def pruned(s: Sequence1, top: int = 2) -> Sequence1:
    """Leave out the steps that are neither true nor among the best of any unit: the fit is quicker for it."""
    none = s.x.shape[1] - 1
    kept = {none, *s.y.tolist(), *np.argsort(-s.x.sum(2), axis=1)[:, :top].ravel().tolist()}
    at = np.array(sorted(kept))
    return replace(
        s,
        x=np.ascontiguousarray(s.x[:, at]),
        pair=s.pair[np.append(at, none + 1)][:, at],
        backward=s.backward[np.ix_(at, at)],
        y=np.searchsorted(at, s.y),
    )


def fit(sequences: Sequence[Sequence1], cost: float, ridge: float, rounds: int) -> np.ndarray:
    """Give the weights with little loss, by steps down (Adam) after some recordings each.

    Channels are brought to one scale, so that ``ridge`` treats them alike: that of what sets the steps apart, since what
    is the same for all steps of a unit says nothing. Steps after a few recordings get much further in the same time than
    those after all of them: the channels say nearly the same, and the loss is a long narrow valley.
    """
    sequences = [pruned(s) for s in sequences]
    sizes = sequences[0].sizes
    channels = sequences[0].x.shape[2]
    squares = sum(((s.x - s.x.mean(1, keepdims=True)).astype(np.float64) ** 2).sum((0, 1)) for s in sequences)
    spread = np.sqrt(squares / sum(s.x.shape[0] * s.x.shape[1] for s in sequences)).clip(1e-3)
    scale = np.ones(sum(sizes))
    scale[: len(WAYS) * channels] = np.tile(spread, len(WAYS))
    weights = np.zeros(sum(sizes))
    weights[READER] = 0.7 * scale[READER]
    weights[sizes[0] + sizes[1]] = -2.0
    mean, square = np.zeros_like(weights), np.zeros_like(weights)
    chance = np.random.default_rng(0)
    steps, step = rounds * -(-len(sequences) // TOGETHER), 0
    for _ in range(rounds):
        order = chance.permutation(len(sequences))
        for at in range(0, len(order), TOGETHER):
            some = [sequences[n] for n in order[at : at + TOGETHER]]
            slope = sum(
                (loss(s, weights / scale, cost)[1] / scale for s in some), ridge * weights * len(some) / len(order)
            )
            step += 1
            mean = FIRST * mean + (1 - FIRST) * slope
            square = SECOND * square + (1 - SECOND) * slope**2
            speed = SPEED * min(1.0, 10 * step / steps) * (1 - step / steps)
            weights = weights - speed * (mean / (1 - FIRST**step)) / (np.sqrt(square / (1 - SECOND**step)) + 1e-8)
    return weights / scale
