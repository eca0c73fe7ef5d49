"""Sounds of French words: spelling rules of ``lexicons/sounds/fr.toml``."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from otochron.text.sound_data import spelling_rules

_SCHWA: Final = "@"
_CONSONANTS: Final = frozenset("pbtdkgfvszʃʒθðmnlrh")


@lru_cache(maxsize=65536)
def word_phones(word: str) -> str:
    """Broad phones of one lower-case word without hyphens or apostrophes."""
    rules = spelling_rules("fr")
    return rules.words.get(word) or rules.read(word)


def number_phones(digits: str) -> str:
    """Broad phones of a whole number below 100, longer ones digit by digit.

    Seventy and ninety go on from sixty and eighty, which is why French counts for itself.
    """
    numbers = spelling_rules("fr").numbers
    if digits in numbers:
        return numbers[digits]
    if len(digits) != 2:
        return "".join(numbers[digit] for digit in digits)
    tens, unit = int(digits[0]) * 10, int(digits[1])
    if tens in (70, 90):
        tens, unit = tens - 10, unit + 10
    joint = "e" if unit in (1, 11) and tens < 80 else ""
    return numbers[str(tens)] + joint + (numbers[str(unit)] if unit else "")


def word_variants(word: str, phones: str) -> tuple[str, ...]:
    """Other ways to say a word: last schwa sounded, silent last consonant linked to a vowel behind."""
    variants = []
    if word.endswith(("e", "es")) and phones[-1:] in _CONSONANTS:
        variants.append(phones + _SCHWA)
    linked = spelling_rules("fr").marks["liaison"].get(word[-1:])
    if linked and phones and phones[-1] != linked and (phones[-1] not in _CONSONANTS):
        variants.append(phones + linked)
    return tuple(variants)
