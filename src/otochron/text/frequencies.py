"""How much likelier a word is in French than in English, from the general word lists of ``wordfreq``.

A word that neither list knows is told by its letters: a character model of each language, estimated from the
spelling of the listed words when it is first asked for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from itertools import islice
from typing import TYPE_CHECKING, Final

from otochron.model import Lang
from otochron.text.normal import fold, key

if TYPE_CHECKING:
    import numpy as np

_FLOOR: Final = 1e-9
"""Frequency of a word that a list lacks; the lists end at one in a hundred million."""
_BARE_SHARE: Final = 1e-7
"""Rarer words are not looked for without their accents."""
_SPELT: Final = 30000
"""How many of the commonest words of each list teach the letters."""
_ORDER: Final = 5
_TABLE: Final = 1 << 20
_MOST: Final = 65535
_MULTIPLIER: Final = 131
_TRUST: Final = 2.0
"""How many sightings a letter context needs to count as much as the shorter context."""


@lru_cache(maxsize=2)
def frequencies(lang: Lang) -> Mapping[str, float]:
    """Give the share of each word of a general word list, under the key of the word."""
    from wordfreq import get_frequency_dict

    listed: dict[str, float] = get_frequency_dict(lang, "large")
    return listed | {key(word): share for word, share in listed.items() if "œ" in word or "æ" in word}


@lru_cache(maxsize=1)
def _bare_french() -> Mapping[str, float]:
    """French words with accents as a recogniser without accents would write them."""
    bare: dict[str, float] = {}
    for word, share in frequencies("fr").items():
        if not word.isascii() and share >= _BARE_SHARE:
            bare.setdefault(fold(word), share)
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
    """Interpolated letter model of the spelling of one language; contexts are counted in one table per length."""

    def __init__(self, lang: Lang) -> None:
        import numpy as np

        # The lists come commonest first.
        spelt = list(islice((word for word in frequencies(lang) if word.isalpha()), _SPELT))
        codes = _codes("".join(_marked(word) for word in spelt))
        inside = codes != _EDGE
        sizes = range(1, _ORDER + 1)
        self.runs = {n: _counted(_hashes(codes, n)[inside[n - 1 :]]) for n in sizes}
        self.before = {n: _counted(_hashes(codes[:-1], n)[inside[n:]]) for n in sizes[:-1]}
        self.total = float(np.count_nonzero(inside))

    def log_chance(self, word: str) -> float:
        """Give the log of the chance of the letters of a word."""
        codes = _codes(_marked(word))
        found = 0.0
        for place in range(_ORDER - 1, len(codes)):
            chance = (float(self.runs[1][_hash(codes[place : place + 1])]) + 0.5) / (self.total + 100)
            for n in range(2, _ORDER + 1):
                context = float(self.before[n - 1][_hash(codes[place - n + 1 : place])])
                seen = float(self.runs[n][_hash(codes[place - n + 1 : place + 1])])
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


def _counted(places: np.ndarray) -> np.ndarray:
    """Count places in the table, in two bytes each."""
    import numpy as np

    return np.minimum(np.bincount(places, minlength=_TABLE), _MOST).astype(np.uint16)


def _hash(codes: np.ndarray) -> int:
    total = 0
    for code in codes.tolist():
        total = total * _MULTIPLIER + code
    return total % _TABLE


@lru_cache(maxsize=2)
def _letters(lang: Lang) -> _Letters:
    return _Letters(lang)
