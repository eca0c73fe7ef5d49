"""Sounds of English words: the packed pronouncing dictionary, then endings, then spelling rules."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from otochron.text.sound_data import dictionary_entry, spelling_rules

_DICTIONARY: Final = "cmu-en.txt.xz"
_VOICELESS: Final = frozenset("ptkfθ")
_HISSING: Final = frozenset("szʃʒ")
_SHORTEST_STEM: Final = 3
_SHORTEST_PART: Final = 4


@lru_cache(maxsize=65536)
def _readings(word: str) -> tuple[str, ...]:
    """All readings of a lower-case word, the usual one first; never empty for a word with letters."""
    rules = spelling_rules("en")
    if word in rules.words:
        return (rules.words[word],)
    if known := dictionary_entry(_DICTIONARY, word) or _inflected(word) or _compound(word):
        return known
    return (rules.read(word.replace("'", "")),)


def _inflected(word: str) -> tuple[str, ...]:
    """Read a dictionary word with a regular ending, if that is what the word is."""
    for ending, sound in spelling_rules("en").marks["endings"].items():
        stem = word.removesuffix(ending)
        if stem == word or len(stem) < _SHORTEST_STEM:
            continue
        stems = [stem]
        if ending in ("ed", "ing", "es"):
            stems += [stem + "e"] + ([stem[:-1]] if stem[-1] == stem[-2] else [])
        for candidate in stems:
            if found := dictionary_entry(_DICTIONARY, candidate):
                return tuple(reading + _joined(reading, sound) for reading in found)
    return ()


def _compound(word: str) -> tuple[str, ...]:
    """Read a word made of two long dictionary words, such as *facemask*."""
    for cut in range(len(word) - _SHORTEST_PART, _SHORTEST_PART - 1, -1):
        if (first := dictionary_entry(_DICTIONARY, word[:cut])) and (
            second := dictionary_entry(_DICTIONARY, word[cut:]) or _inflected(word[cut:])
        ):
            return (first[0] + second[0],)
    return ()


def _joined(stem: str, sound: str) -> str:
    """Give an ending its sound: plural s and past d follow the phone before."""
    last = stem[-1:]
    if sound in ("z", "iz"):
        return "iz" if last in _HISSING else "s" if last in _VOICELESS else "z"
    if sound == "d":
        return "id" if last in "td" else "t" if last in _VOICELESS or last in "sʃ" else "d"
    return sound


def word_phones(word: str) -> str:
    """Broad phones of one lower-case word without hyphens."""
    return _readings(word)[0]


def number_phones(digits: str) -> str:
    """Broad phones of a whole number below 100, longer ones digit by digit."""
    numbers = spelling_rules("en").numbers
    if digits in numbers:
        return numbers[digits]
    if len(digits) != 2 or digits[0] == "0":
        return "".join(numbers[digit] for digit in digits)
    return numbers[digits[0] + "0"] + numbers[digits[1]]


def word_variants(word: str, phones: str) -> tuple[str, ...]:
    """Other dictionary readings of the word."""
    return tuple(reading for reading in _readings(word) if reading != phones)
