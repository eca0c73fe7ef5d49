"""Broad sounds of English and French words in one joint phone set, so that they can be compared.

One character is one phone: vowels ``i e a o u y @`` and **N**, the nasality of a French nasal vowel
(*an* = ``aN``, *in* = ``eN``, *on* = ``oN``), so that *tympan* and *tympan-* are near neighbours;
consonants ``p b t d k g f v s z ʃ ʒ θ ð m n l r j w h``. Diphthongs are two vowels, ch is ``tʃ``.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Final, Literal, NamedTuple

from otochron.text import sounds_en, sounds_fr
from otochron.text.sound_data import spelling_rules

Lang = Literal["en", "fr"]

VOWELS: Final = "ieaouy@"
CONSONANTS: Final = "pbtdkgfvszʃʒθðmnlrjwh"
NASAL: Final = "N"
PHONES: Final = VOWELS + NASAL + CONSONANTS


class _Voice(NamedTuple):
    """What a language has to tell about its sounds."""

    word_phones: Callable[[str], str]
    number_phones: Callable[[str], str]
    word_variants: Callable[[str, str], tuple[str, ...]]


_BY_LANGUAGE: Final = {
    "en": _Voice(sounds_en.word_phones, sounds_en.number_phones, sounds_en.word_variants),
    "fr": _Voice(sounds_fr.word_phones, sounds_fr.number_phones, sounds_fr.word_variants),
}
_MERGE: Final = str.maketrans("ieaouy@bdgvzʒθðN", "eeaooeeptkfsʃttn")
_PARTS: Final = re.compile(r"\d+|[^\W\d_]+(?:'[^\W\d_]+)*")
_ROMAN: Final = {
    "ii": "2", "iii": "3", "iv": "4", "vi": "6", "vii": "7", "viii": "8", "ix": "9", "xi": "11", "xii": "12",
}  # fmt: skip
_VOWEL_LETTERS: Final = frozenset("aeiouyàâäéèêëîïôöùûüœæ")


@lru_cache(maxsize=131072)
def phones(word: str, lang: Lang) -> str:
    """Broad phone string of one word, known or not.

    Parameters
    ----------
    word : str
        Any case; may hold hyphens, apostrophes, digits. Abbreviations are spelled out, Roman
        numerals are read as numbers, marks are ignored.
    lang : {"en", "fr"}
        The language to read it in.

    Returns
    -------
    str
        One character per phone; empty if there is nothing to say.

    Examples
    --------
    >>> phones("tympan", "fr"), phones("stapes", "en"), phones("VII", "fr"), phones("CSF", "en")
    ('teNpaN', 'steipiz', 'set', 'siesef')
    """
    return "".join(_part_phones(part, lang) for part in _parts(word))


def _parts(word: str) -> list[str]:
    """Cut a word at hyphens and marks: lower case, NFC, straight apostrophes."""
    return _PARTS.findall(unicodedata.normalize("NFC", word).lower().replace("’", "'"))


def _part_phones(part: str, lang: Lang) -> str:
    """Phones of one piece: a number, an abbreviation or a word."""
    language = _BY_LANGUAGE[lang]
    if part.isdigit():
        return language.number_phones(unicodedata.normalize("NFKC", part)) if part.isdecimal() else ""
    if part in _ROMAN:
        return language.number_phones(_ROMAN[part])
    rules = spelling_rules(lang)
    if part not in rules.words and (len(part) == 1 or _VOWEL_LETTERS.isdisjoint(part)):
        bare = unicodedata.normalize("NFD", part)
        if part not in ("a", "à", "y"):
            return "".join(rules.letters.get(letter, "") for letter in bare)
    if lang == "en":
        part = "".join(c for c in unicodedata.normalize("NFD", part) if not unicodedata.combining(c))
        part = part.replace("œ", "oe").replace("æ", "ae")
    return language.word_phones(part)


@lru_cache(maxsize=65536)
def phone_variants(word: str, lang: Lang) -> tuple[str, ...]:
    """Ways to say one word, the usual one first.

    French: with the last schwa, with the linking consonant; English: the dictionary's other readings.
    """
    usual = phones(word, lang)
    parts = _parts(word)
    if not parts or not parts[-1].isalpha():
        return (usual,)
    last = phones(parts[-1], lang)
    others = _BY_LANGUAGE[lang].word_variants(parts[-1], last)
    before = usual.removesuffix(last)
    return tuple(dict.fromkeys((usual, *(before + other for other in others))))


def phrase_phones(words: Sequence[str], lang: Lang) -> str:
    """Broad phones of several words run together, as they reach the recogniser's ear."""
    return "".join(phones(word, lang) for word in words)


def merged(phones: str) -> str:
    """Coarse classes for a quick search: three vowels, voice dropped, one nasal.

    >>> merged("steipiz") == merged("ztaibes"), merged("teNpaN")
    (False, 'tenpan')
    """
    return phones.translate(_MERGE)
