"""How much likelier a word is in French than in English, from the general word lists of ``wordfreq``.

The small lists are enough: words that they lack are told by their letters, and the trade words by our own word lists.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Final

from otochron.model import Lang
from otochron.text.normal import fold, key

_FLOOR: Final = 1e-7
"""Frequency of a word that a list lacks; the small lists end at one in a million."""
_SPELT: Final = 8000
"""How many of the commonest words of each list teach the letter patterns."""
_ORDER: Final = 3


@lru_cache(maxsize=2)
def frequencies(lang: Lang) -> Mapping[str, float]:
    """Give the share of each word of a general word list, under the key of the word."""
    from wordfreq import get_frequency_dict

    listed: dict[str, float] = get_frequency_dict(lang, "small")
    return listed | {key(word): share for word, share in listed.items() if "œ" in word or "æ" in word}


@lru_cache(maxsize=1)
def _bare_french() -> Mapping[str, float]:
    """French words with accents as a recogniser without accents would write them."""
    bare: dict[str, float] = {}
    for word, share in frequencies("fr").items():
        if not word.isascii():
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


def grams(word: str) -> Iterable[str]:
    """Give the letter patterns of a word, its ends marked.

    >>> list(grams("os"))
    ['^os', 'os$']
    """
    marked = f"^{word}$"
    return (marked[n : n + _ORDER] for n in range(len(marked) - _ORDER + 1))


@lru_cache(maxsize=1)
def _gram_ratios() -> Mapping[str, float]:
    counts: dict[Lang, Counter[str]] = {}
    for lang in ("en", "fr"):
        listed = sorted(frequencies(lang).items(), key=lambda pair: (-pair[1], pair[0]))[:_SPELT]
        counts[lang] = Counter(gram for word, _ in listed if word.isalpha() for gram in grams(word))
    en, fr = counts["en"], counts["fr"]
    en_all, fr_all = en.total(), fr.total()
    return {
        gram: math.log((fr[gram] + 0.5) / fr_all) - math.log((en[gram] + 0.5) / en_all)
        for gram in sorted(en | fr)
    }


@lru_cache(maxsize=65536)
def letter_ratio(word: str) -> float:
    """Give how French rather than English the letters of a word look, as a sum of log-ratios.

    >>> letter_ratio("ossiculoplasty") < 0 < letter_ratio("mastoïdectomie")
    True
    """
    ratios = _gram_ratios()
    return sum(ratios.get(gram, 0.0) for gram in grams(word))
