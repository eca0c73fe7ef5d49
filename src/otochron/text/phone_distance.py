"""How far apart two phone strings are, with graded costs.

Costs are whole hundredths, so that the result does not depend on the order of additions: the same
text gives the same record on every machine. The costs follow how phones are confused, not a corpus:
voice is cheap, a neighbouring place is cheap, nasality may go, weak phones (schwa, h, r) may go.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from otochron.text.sounds import CONSONANTS, PHONES, VOWELS

Costs = NDArray[np.int32]

_CHUNK: Final = 2000
_NEVER: Final = 10_000
_HEIGHT: Final = {"i": 0, "y": 0, "u": 0, "e": 1, "@": 1, "o": 1, "a": 2}
_BACK: Final = {"i": 0, "e": 0, "y": 0, "@": 1, "a": 1, "u": 2, "o": 2}
_ROUND: Final = frozenset("yuo")
_PLACE: Final = {
    phone: place for place, group in enumerate(("pbmfvw", "θð", "tdsznl", "rʃʒ", "j", "kg", "", "h")) for phone in group
}
_MANNER: Final = {phone: name for name, group in {
    "stop": "pbtdkg", "fricative": "fvszʃʒθðh", "nasal": "mn", "glide": "lrjw",
}.items() for phone in group}  # fmt: skip
_RELATED: Final = (
    frozenset(("stop", "fricative")),
    frozenset(("stop", "nasal")),
    frozenset(("fricative", "glide")),
)
_VOICED: Final = frozenset("bdgvzʒðmnlrjw")
_NEAR: Final = {
    "mN": 15, "nN": 15, "mn": 15, "sθ": 15, "fθ": 20, "zð": 15, "vð": 20, "tθ": 30, "dð": 25, "sʃ": 20,
    "zʒ": 20,
    "vw": 30, "bv": 30, "hr": 30, "lr": 30, "rw": 30, "jʒ": 35, "ij": 45, "ej": 60, "uw": 45, "yw": 45,
    "yj": 50,
    "ow": 60, "@r": 45, "gN": 50, "kh": 50, "nl": 40, "gr": 50,
}  # fmt: skip
_DROP: Final = {
    "@": 30,
    "h": 20,
    "N": 35,
    "j": 35,
    "r": 40,
    "w": 40,
    "z": 55,
    "s": 65,
    "l": 60,
    "t": 60,
    "d": 60,
    "n": 60,
}


def _change(one: str, other: str) -> int:
    """Cost of hearing one phone for another, in hundredths."""
    if one == other:
        return 0
    if (near := _NEAR.get(one + other) or _NEAR.get(other + one)) is not None:
        return near
    if one in VOWELS and other in VOWELS:
        steps = abs(_HEIGHT[one] - _HEIGHT[other]) + abs(_BACK[one] - _BACK[other])
        cost = 12 * steps + 10 * ((one in _ROUND) != (other in _ROUND))
        return min(cost, 25 if "@" in (one, other) else 60)
    if one in CONSONANTS and other in CONSONANTS:
        gap = abs(_PLACE[one] - _PLACE[other])
        cost = 20 * ((one in _VOICED) != (other in _VOICED)) + (0, 25)[gap > 0] + 15 * (gap > 1)
        kinds = frozenset((_MANNER[one], _MANNER[other]))
        if len(kinds) == 2:
            cost += 35 if kinds in _RELATED else 60
        return min(cost, 100)
    return 120


def _tables() -> tuple[Costs, Costs]:
    """Costs of changing and of dropping, by phone number; 0 is the filling behind a short string."""
    size = len(PHONES) + 1
    change = np.full((size, size), _NEVER, dtype=np.int32)
    drop = np.zeros(size, dtype=np.int32)
    for row, one in enumerate(PHONES, 1):
        drop[row] = _DROP.get(one, 50 if one in VOWELS else 85)
        for column, other in enumerate(PHONES, 1):
            change[row, column] = _change(one, other)
    return change, drop


_CHANGE, _DROPPED = _tables()
_NUMBER: Final = {ord(phone): chr(number) for number, phone in enumerate(PHONES, 1)}


@lru_cache(maxsize=65536)
def _row(text: str) -> bytes:
    """Give the phone numbers of a string; an unknown sign counts as filling."""
    return bytes(
        number if number <= len(PHONES) else 0 for number in text.translate(_NUMBER).encode("latin-1", "replace")
    )


def _numbered(strings: Sequence[str]) -> NDArray[np.uint8]:
    """Strings as rows of phone numbers, filled up with 0."""
    width = max((len(text) for text in strings), default=0)
    rows = b"".join([_row(text).ljust(width, b"\0") for text in strings])
    return np.frombuffer(rows, dtype=np.uint8).reshape(len(strings), width)


def _chunk_costs(left: NDArray[np.uint8], right: NDArray[np.uint8]) -> tuple[Costs, Costs]:
    """Least edit costs of row pairs, and the sum of both strings' drop costs."""
    drop_left, drop_right = _DROPPED[left], _DROPPED[right]
    inserted = np.zeros((len(right), right.shape[1] + 1), dtype=np.int32)
    np.cumsum(drop_right, axis=1, out=inserted[:, 1:])
    line = inserted.copy()
    for place in range(left.shape[1]):
        dropped = drop_left[:, place, None]
        best = line + dropped
        np.minimum(best[:, 1:], line[:, :-1] + _CHANGE[left[:, place, None], right], out=best[:, 1:])
        best -= inserted  # a running minimum stands for the cheapest run of insertions
        np.minimum.accumulate(best, axis=1, out=best)
        line = best + inserted
    return line[:, -1], drop_left.sum(axis=1, dtype=np.int32) + inserted[:, -1]


def distances(a: Sequence[str], b: Sequence[str]) -> NDArray[np.float64]:
    """Graded distance of many pairs of phone strings at once.

    Parameters
    ----------
    a, b : sequence of str
        Phone strings, pair by pair.

    Returns
    -------
    ndarray
        Cost divided by the mean drop cost of the two strings: 0 for the same sounds, about 1 for
        unrelated ones, at most 2. Two empty strings are 0 apart.
    """
    if len(a) != len(b):
        raise ValueError(f"{len(a)} strings cannot be paired with {len(b)}")
    result = np.zeros(len(a), dtype=np.float64)
    order = sorted(range(len(a)), key=lambda i: (len(a[i]), len(b[i])))  # equal lengths waste no filling
    for first in range(0, len(order), _CHUNK):
        chunk = order[first : first + _CHUNK]
        cost, total = _chunk_costs(_numbered([a[i] for i in chunk]), _numbered([b[i] for i in chunk]))
        result[chunk] = np.divide(2 * cost, total, out=np.zeros(len(chunk)), where=total > 0)
    return result


def distance(a: str, b: str) -> float:
    """Graded distance of two phone strings, see :func:`distances`."""
    return float(distances([a], [b])[0])
