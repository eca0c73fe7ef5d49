"""A linear-chain conditional random field whose few weights are shared by all steps; gradient by forward-backward.

Only the fit needs it: the program decodes (``stages/steps/decode.py``). The loss is the softmax margin of Gimpel &
Smith (2010): wrong labels are made a little better than they are (``cost``), so that right ones must win clearly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize
from scipy.special import logsumexp


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
    def sizes(self) -> tuple[int, int, int, int, int]:
        return (self.x.shape[2], self.none.shape[1], self.pair.shape[2], self.change.shape[1], self.back.shape[1])


def cut(theta: np.ndarray, sizes: Sequence[int]) -> list[np.ndarray]:
    return np.split(theta, np.cumsum(sizes)[:-1])


def scores(s: Sequence1, theta: np.ndarray):
    tx, tn, tp, tc, tb = cut(theta, s.sizes)
    unit = (s.x @ tx.astype(np.float32)).astype(float)
    unit[:, -1] += s.none @ tn
    pair = (s.pair @ tp.astype(np.float32)).astype(float)
    return unit, pair[-1], pair[:-1], s.change @ tc, s.back @ tb


def loss(s: Sequence1, theta: np.ndarray, cost: float) -> tuple[float, np.ndarray]:
    """Give the loss of one recording and its gradient."""
    unit, first, pair, change, back = scores(s, theta)
    n, k = unit.shape
    rows = np.arange(n)
    if cost:
        unit = unit + cost
        unit[rows, s.y] -= cost
    off = 1 - np.eye(k)
    gains = {gain: np.exp(pair + gain * s.backward) * off for gain in set(back.tolist())}
    ahead = np.zeros((n, k))
    ahead[0] = unit[0] + first
    for t in range(1, n):
        top = ahead[t - 1].max()
        p = np.exp(ahead[t - 1] - top)
        ahead[t] = np.log(p + (p @ gains[back[t]]) * np.exp(change[t]) + 1e-300) + top + unit[t]
    behind = np.zeros((n, k))
    for t in range(n - 1, 0, -1):
        v = behind[t] + unit[t]
        top = v.max()
        q = np.exp(v - top)
        behind[t - 1] = np.log(q + (gains[back[t]] @ q) * np.exp(change[t]) + 1e-300) + top
    total = logsumexp(ahead[-1])
    share = np.exp(ahead + behind - total)
    g_pair = np.zeros(s.pair.shape[2])
    g_change = np.zeros(s.change.shape[1])
    g_back = np.zeros(s.back.shape[1])
    gold = unit[rows, s.y].sum() + first[s.y[0]]
    tops = ahead[:-1].max(1)
    v = behind[1:] + unit[1:]
    vtops = v.max(1)
    p = np.exp(ahead[:-1] - tops[:, None]) * np.exp(tops + vtops + change[1:] - total)[:, None]
    q = np.exp(v - vtops[:, None])
    expected = np.zeros((k, k))
    for gain, table in gains.items():
        at = np.nonzero(back[1:] == gain)[0]
        part = (p[at].T @ q[at]) * table
        expected += part
        g_change -= ((p[at] @ table) * q[at]).sum(1) @ s.change[1 + at]
        if s.back[1 + at].any():
            steps_back = ((p[at] @ (table * s.backward)) * q[at]).sum(1)
            g_back -= steps_back @ s.back[1 + at]
    for t in np.nonzero(s.y[1:] != s.y[:-1])[0]:
        a, b = s.y[t], s.y[t + 1]
        gold += pair[a, b] + change[t + 1] + back[t + 1] * s.backward[a, b]
        g_pair += s.pair[a, b]
        g_change += s.change[t + 1]
        g_back += s.back[t + 1] * s.backward[a, b]
    g_pair -= np.tensordot(expected, s.pair[:-1], ([0, 1], [0, 1]))
    g_pair += s.pair[-1, s.y[0]] - share[0] @ s.pair[-1]
    d = -share
    d[rows, s.y] += 1
    g_x = np.tensordot(d.astype(np.float32), s.x, ([0, 1], [0, 1]))
    g_none = d[:, -1] @ s.none
    return total - gold, -np.concatenate([g_x, g_none, g_pair, g_change, g_back])


def fit(
    sequences: Sequence[Sequence1], cost: float, ridge: float, rounds: int, start: np.ndarray | None = None
) -> np.ndarray:
    """Give the weights with the least loss."""
    sizes = sequences[0].sizes
    if start is None:
        start = np.zeros(sum(sizes))
        start[: sizes[0]] = 0.3
        start[sizes[0] + sizes[1]] = -2.0

    def whole(theta: np.ndarray) -> tuple[float, np.ndarray]:
        value, slope = ridge / 2 * float(theta @ theta), ridge * theta
        for s in sequences:
            one, grad = loss(s, theta, cost)
            value += one
            slope = slope + grad
        return value, slope

    return minimize(whole, start, jac=True, method="L-BFGS-B", options={"maxiter": rounds}).x
