"""One spelling for comparing words: NFC, straight apostrophes, lower case; accents kept or folded."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache

_APOSTROPHES = str.maketrans({"’": "'", "‘": "'", "ʼ": "'", "´": "'", "`": "'"})
_LIGATURES = str.maketrans({"œ": "oe", "æ": "ae", "Œ": "OE", "Æ": "AE"})


def clean(text: str) -> str:
    """Normalise to NFC and drop control characters; the reader does this once, so that offsets stay true."""
    text = unicodedata.normalize("NFC", text)
    return "".join(c if c == " " or not unicodedata.category(c).startswith("C") else " " for c in text)


@lru_cache(maxsize=65536)
def key(word: str) -> str:
    """Give the form of a word under which it is looked up.

    >>> key("L’Étrier")
    "l'étrier"
    """
    return unicodedata.normalize("NFC", word.translate(_APOSTROPHES).casefold().translate(_LIGATURES))


@lru_cache(maxsize=65536)
def fold(word: str) -> str:
    """Give the key of a word without its accents.

    >>> fold("Étrier")
    'etrier'
    """
    return "".join(c for c in unicodedata.normalize("NFD", key(word)) if not unicodedata.combining(c))


def fold_lines(words: Sequence[str]) -> list[str]:
    """Fold many words at once, which costs a tenth; none may hold a line break.

    >>> fold_lines(["Étrier", "œdème"])
    ['etrier', 'oedeme']
    """
    joined = "\n".join(words).translate(_APOSTROPHES).casefold().translate(_LIGATURES)
    joined = unicodedata.normalize("NFD", unicodedata.normalize("NFC", joined))
    marks = {ord(letter): None for letter in set(joined) if unicodedata.combining(letter)}
    return joined.translate(marks).split("\n")
