"""How much likelier a word is in French than in English, from the general word lists of ``wordfreq``.

A word that neither list knows is told by its letters: a character model of each language, estimated from the
spelling of the listed words when it is first asked for.
"""

from __future__ import annotations

import math
from array import array
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from otochron.model import Lang
from otochron.text.normal import fold_lines
from otochron.text.shares import Shares, read_buckets

if TYPE_CHECKING:
    import numpy as np

_FLOOR: Final = 1e-9
"""Frequency of a word that a list lacks; the lists end at one in a hundred million."""
_ORDER: Final = 5
_TABLE: Final = 1 << 20
_MOST: Final = 65535
_MULTIPLIER: Final = 131
_TRUST: Final = 2.0
"""How many sightings a letter context needs to count as much as the shorter context."""


@lru_cache(maxsize=2)
def frequencies(lang: Lang) -> Shares:
    """Give the share of each word of a general word list, under the key of the word."""
    return Shares(read_buckets(lang))


@lru_cache(maxsize=1)
def _bare_french() -> Mapping[str, float]:
    """French words with accents as a recogniser without accents would write them."""
    accented = frequencies("fr").accented
    bare: dict[str, float] = {}
    for name, (_, share) in zip(fold_lines([word for word, _ in accented]), accented, strict=True):
        bare.setdefault(name, share)
    return bare


@lru_cache(maxsize=65536)
def word_ratio(word: str) -> float | None:
    """Give log P(word | French) - log P(word | English), or None for a word that neither list knows.

    >>> word_ratio("the") < -3, word_ratio("nous") > 3, word_ratio("xyzzyq")
    (True, True, None)
    """
    en, fr = frequencies("en").get(word), frequencies("fr").get(word)
    if en is None and fr is None:
        fr = _bare_french().get(word)
        if fr is None:
            return None
    return math.log((fr or _FLOOR) / (en or _FLOOR))


@lru_cache(maxsize=65536)
def letter_ratio(word: str) -> float:
    """Give how French rather than English the letters of a word look, as a log-ratio.

    >>> letter_ratio("ossiculoplasty") < 0 < letter_ratio("mastoïdectomie")
    True
    """
    return float(_letters("fr").log_chance(word) - _letters("en").log_chance(word))


class _Letters:
    """Interpolated letter model of the spelling of one language; contexts are counted by their hashes."""

    def __init__(self, lang: Lang) -> None:
        import numpy as np

        codes = _codes("".join([_marked(word) for word in frequencies(lang).spelt]))
        inside = codes != _EDGE
        sizes = range(1, _ORDER + 1)
        self.runs = {n: _Counted(_hashes(codes, n)[inside[n - 1 :]]) for n in sizes}
        self.before = {n: _Counted(_hashes(codes[:-1], n)[inside[n:]]) for n in sizes[:-1]}
        self.total = float(np.count_nonzero(inside))

    def log_chance(self, word: str) -> float:
        """Give the log of the chance of the letters of a word."""
        codes = [ord(letter) for letter in _marked(word)]
        found = 0.0
        for place in range(_ORDER - 1, len(codes)):
            chance = (self.runs[1].of(_hash(codes[place : place + 1])) + 0.5) / (self.total + 100)
            for n in range(2, _ORDER + 1):
                context = self.before[n - 1].of(_hash(codes[place - n + 1 : place]))
                seen = self.runs[n].of(_hash(codes[place - n + 1 : place + 1]))
                chance = (seen + _TRUST * chance) / (context + _TRUST)
            found += math.log(chance)
        return found


_EDGE: Final = ord("^")


def _marked(word: str) -> str:
    return "^" * (_ORDER - 1) + word + "$"


def _codes(text: str) -> np.ndarray:
    import numpy as np

    return np.frombuffer(text.encode("utf-32-le"), dtype=np.uint32).astype(np.int64)


def _hashes(codes: np.ndarray, size: int) -> np.ndarray:
    """Give the place in the table of each run of ``size`` letters."""
    total = codes[: len(codes) - size + 1].copy()
    for n in range(1, size):
        total = total * _MULTIPLIER + codes[n : len(codes) - size + 1 + n]
    return total % _TABLE


class _Counted:
    """How often each place of a table was met, of those that were met at all."""

    def __init__(self, places: np.ndarray) -> None:
        import numpy as np

        met, counts = np.unique(places.astype(np.int32), return_counts=True)
        self._places = array("i", met.tobytes())
        self._counts = array("i", counts.astype(np.int32).tobytes())

    def of(self, place: int) -> float:
        """Give the count of a place."""
        n = bisect_left(self._places, place)
        found = self._counts[n] if n < len(self._places) and self._places[n] == place else 0
        return float(min(found, _MOST))


def _hash(codes: Sequence[int]) -> int:
    total = 0
    for code in codes:
        total = total * _MULTIPLIER + code
    return total % _TABLE


@lru_cache(maxsize=2)
def _letters(lang: Lang) -> _Letters:
    return _Letters(lang)
