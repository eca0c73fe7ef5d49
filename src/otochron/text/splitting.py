"""Where words begin and end in a text: elisions, numbers, letters, signs."""

from __future__ import annotations

import re
from functools import lru_cache

# Elided words of French that stand before a vowel: their own words. "aujourd'hui" and English "don't" stay whole.
_ELIDED = r"(?:[ldjmtscn]|qu|jusqu|lorsqu|puisqu|quoiqu|quelqu|presqu)['’ʼ](?=[^\W\d_])"
_NUMBER = r"\d+(?:[.,:/]\d+)*"
_LETTERS = r"[^\W\d_]+(?:['’ʼ][^\W\d_]+)*"
_WORD = re.compile(rf"(?P<elided>\b{_ELIDED})|(?P<number>{_NUMBER})|(?P<letters>{_LETTERS})|(?P<sign>[%°µ€$+×=])", re.I)
_ENGLISH_TAIL = re.compile(r"(?i)^(?:t|s|m|d|re|ve|ll)$")


def split_words(text: str) -> list[tuple[int, int]]:
    """Give the offsets of the words of a text.

    >>> [("l'étrier don't 4.5mm")[a:b] for a, b in split_words("l'étrier don't 4.5mm")]
    ["l'", 'étrier', "don't", '4.5', 'mm']
    """
    return list(offsets(text))


@lru_cache(maxsize=8192)
def offsets(text: str) -> tuple[tuple[int, int], ...]:
    """Give the offsets of the words of a text, half-open."""
    found: list[tuple[int, int]] = []
    place = 0
    while match := _WORD.search(text, place):
        start, end = match.span()
        if match.lastgroup == "elided":
            # "d'you", "it's": an English tail after the apostrophe is not an elision.
            tail = re.match(r"[^\W\d_]+", text[end:])
            if tail and _ENGLISH_TAIL.match(tail.group()):
                end += tail.end()
        found.append((start, end))
        place = end
    return tuple(found)
