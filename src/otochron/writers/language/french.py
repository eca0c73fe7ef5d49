"""French in print: articles, elision, agreement, decimal comma, no-break spaces."""

from __future__ import annotations

import re
from collections.abc import Sequence

from otochron.text.inflect_fr import feminine, plural

NO_GAP = frozenset({"°"})
"""Units that follow the number without a space; the percent sign takes one."""
_NBSP = "\u00a0"
_VOWELS = "aàâeéèêëiîïoôuùûyœæ"
_BREATHED_H = ("haut", "harp", "hern", "hanche", "huit", "hors", "hamme")
"""Beginnings of words whose h keeps the article whole."""
_IRREGULAR = {
    "épais": "épaisse",
    "sec": "sèche",
    "blanc": "blanche",
    "gras": "grasse",
    "franc": "franche",
    "frais": "fraîche",
}
_ARTICLES = {"m": "le", "f": "la", "mp": "les", "fp": "les"}
_SPACED = re.compile(r"[ \u00a0]*([:;!?»])(?=[\s\u00a0,.;)]|$)")
_OPENED = re.compile(r"«[ \u00a0]*")


def is_elided(word: str) -> bool:
    """Tell whether ``le``, ``la`` and ``de`` lose their vowel before a word.

    >>> is_elided("étrier"), is_elided("hématome"), is_elided("haut"), is_elided("platine")
    (True, True, False, False)
    """
    first = word[:1].lower()
    return first in _VOWELS or (first == "h" and not word.lower().startswith(_BREATHED_H))


def the(noun: str, gender: str | None = None) -> str:
    """Put the article before a noun.

    >>> the("étrier", "m"), the("platine", "f"), the("osselets", "mp")
    ("l'étrier", 'la platine', 'les osselets')
    """
    article = _ARTICLES.get(gender or "m", "le")
    return f"l'{noun}" if article != "les" and is_elided(noun) else f"{article} {noun}"


def of_the(noun: str, gender: str | None = None) -> str:
    """Put "of the" before a noun.

    >>> of_the("mèche", "f"), of_the("pansement", "m"), of_the("enclume", "f"), of_the("fils", "mp")
    ('de la mèche', 'du pansement', "de l'enclume", 'des fils')
    """
    whole = the(noun, gender)
    if whole.startswith("le "):
        return "du" + whole[2:]
    return "des" + whole[3:] if whole.startswith("les ") else f"de {whole}"


def no(noun: str, gender: str | None = None) -> str:
    """Deny a noun.

    >>> no("épanchement"), no("geyser")
    ("pas d'épanchement", 'pas de geyser')
    """
    del gender
    return f"pas d'{noun}" if is_elided(noun) else f"pas de {noun}"


def agree(adjective: str, gender: str | None = None) -> str:
    """Make an adjective agree; of several words, the last.

    >>> agree("bloqué", "f"), agree("peu mobile", "mp"), agree("épais", "f"), agree("encore là", "f")
    ('bloquée', 'peu mobiles', 'épaisse', 'encore là')
    """
    *before, word = adjective.split(" ")
    if not word or word.endswith("à"):
        return adjective
    if gender in ("f", "fp"):
        word = _IRREGULAR.get(word) or feminine(word)
    if gender in ("mp", "fp"):
        word = plural(word)
    return " ".join([*before, word])


def listed(names: Sequence[str]) -> str:
    """Join names.

    >>> listed(["a", "b", "c"])
    'a, b et c'
    """
    return " et ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)


def number(value: float) -> str:
    """Write a number with a decimal comma and no trailing zeros.

    >>> number(4.50)
    '4,5'
    """
    return f"{value:.6f}".rstrip("0").rstrip(".").replace(".", ",")


def quoted(text: str) -> str:
    """Put a text between quotation marks."""
    return f"«{_NBSP}{text}{_NBSP}»"


def tidy(text: str) -> str:
    """Curl the apostrophes and keep high marks with their word.

    >>> tidy("l'étrier : bloqué ?") == f"l’étrier{_NBSP}: bloqué{_NBSP}?"
    True
    """
    text = _SPACED.sub(_NBSP + r"\1", text.replace("'", "’"))
    return _OPENED.sub("«" + _NBSP, text)
