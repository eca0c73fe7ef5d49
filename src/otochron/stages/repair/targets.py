"""The forms of the lexicon by their sounds: what a misheard stretch may have been."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from otochron.lexicon import SPOKEN_KINDS, Entry, Lexicon
from otochron.lexicon.forms import INFLECT, tokens
from otochron.model import Lang
from otochron.stages.repair.form_sounds import word_sounds
from otochron.text import inflect_fr
from otochron.text.normal import fold, key
from otochron.text.number_words import is_number
from otochron.text.sounds import merged
from otochron.text.stream import Word

_LANGUAGES: Final[tuple[Lang, ...]] = ("en", "fr")
_KINDS: Final = SPOKEN_KINDS - {"side", "action"}
"""Sides are never changed; verbs sound like everyday words, and are everyday words."""
_ROMAN: Final = frozenset("ivx")
_NO_PLURAL: Final = frozenset({"drug", "procedure", "approach", "position", "test"})
_MOST_WORDS: Final = 4
_PLAIN_WORDS: Final = 1
"""Forms of so many words are also looked for as the other language would say them."""
_SHORTEST: Final = 3
_LONGEST: Final = 26
"""In phones; a longer form is found by a shorter form of the same concept."""


@dataclass(frozen=True, slots=True)
class Target:
    """One spelling of a concept in one language."""

    text: str
    tokens: tuple[str, ...]
    concepts: tuple[str, ...]
    language: Lang
    phones: str
    plural: str = ""
    """The plural, where it sounds the same."""


@dataclass(frozen=True, slots=True)
class Reading:
    """The sounds of a target, said as its own language or as the other (``foreign``)."""

    target: int
    phones: str
    foreign: bool


@dataclass(frozen=True)
class Targets:
    """All targets, and their readings by coarse sounds, grouped by length for the search."""

    targets: Sequence[Target]
    by_coarse: dict[str, tuple[Reading, ...]]
    coarse: dict[int, tuple[str, ...]]
    by_letters: dict[str, tuple[int, ...]]
    """Targets by their bare letters run together: a space set wrongly changes nothing there."""


def spellings(entry: Entry, lang: Lang) -> Iterable[tuple[str, str]]:
    """Yield the listed forms of an entry and their audible inflections, each with its plural in writing only."""
    for form in (*entry.tongue(lang).forms, *entry.latin_forms()):
        parts = tuple(form.split())
        if len(parts) > _MOST_WORDS:
            continue
        plurals = sorted(" ".join(words) for words in INFLECT[lang].noun_forms(parts) - {parts})
        if entry.kind in _NO_PLURAL or (entry.kind == "finding" and lang == "en"):
            plurals = []
        if plurals and _numbered(form, lang):
            plurals = []
        silent = [text for text in plurals if lang == "fr" and not text.endswith("aux")]
        yield form, silent[0] if silent else ""
        yield from ((text, "") for text in plurals if text not in silent and not re.search(r"[^s]ses\b", text))
        if entry.kind == "finding" and lang == "fr" and len(parts) == 1:
            feminine = inflect_fr.feminine(form)
            if feminine != form:
                yield feminine, inflect_fr.plural(feminine)


@lru_cache(maxsize=4)
def targets_of(lexicon: Lexicon) -> Targets:
    """Give the targets of a lexicon, as they were written beforehand or else worked out, once."""
    from otochron.stages.repair.written import written_targets

    return written_targets(lexicon.hashes) or work_out(lexicon)


def work_out(lexicon: Lexicon) -> Targets:
    """Work the targets of a lexicon out."""
    owners: dict[tuple[Lang, str], list[str]] = defaultdict(list)
    many: dict[tuple[Lang, str], str] = {}
    for entry in lexicon.entries.values():
        if entry.kind in _KINDS:
            for lang in _LANGUAGES:
                for text, plural in spellings(entry, lang):
                    many[lang, text] = plural
                    if entry.id not in owners[lang, text]:
                        owners[lang, text].append(entry.id)
    targets: list[Target] = []
    readings: dict[str, dict[tuple[int, str], Reading]] = defaultdict(dict)
    for (lang, text), concepts in owners.items():
        own = _sounds(text, lang)
        if not _SHORTEST <= len(own) <= _LONGEST or _numbered(text, lang):
            continue
        number = len(targets)
        targets.append(Target(text, tokens(text), tuple(concepts), lang, own, many[lang, text]))
        other = _sounds(text, "fr" if lang == "en" else "en") if len(tokens(text)) <= _PLAIN_WORDS else ""
        for sounds, foreign in ((own, False), (other, True)):
            if _SHORTEST <= len(sounds) <= _LONGEST:
                readings[merged(sounds)].setdefault((number, sounds), Reading(number, sounds, foreign))
    letters: dict[str, list[int]] = defaultdict(list)
    for number, target in enumerate(targets):
        letters[bare(target.text)].append(number)
    grouped: dict[int, list[str]] = defaultdict(list)
    for coarse in readings:
        grouped[len(coarse)].append(coarse)
    return Targets(
        tuple(targets),
        {coarse: tuple(found.values()) for coarse, found in readings.items()},
        {size: tuple(found) for size, found in grouped.items()},
        {text: tuple(found) for text, found in letters.items()},
    )


@lru_cache(maxsize=65536)
def _numbered(text: str, lang: Lang) -> bool:
    """Tell whether a form holds a number: repair never brings one in."""
    return any(_is_number(part, lang) for part in text.replace("'", " ").replace("-", " ").split())


@lru_cache(maxsize=65536)
def _is_number(part: str, lang: Lang) -> bool:
    return (len(part) > 1 and _ROMAN.issuperset(part)) or is_number(Word(0, part, key(part), "", 0, 0, 0, 0, lang))


@lru_cache(maxsize=65536)
def bare(text: str) -> str:
    """Give the letters of a text alone, without accents.

    >>> bare("tympano-méatal flap")
    'tympanomeatalflap'
    """
    return "".join(c for c in fold(text) if c.isalpha())


def _sounds(text: str, lang: Lang) -> str:
    return "".join([word_sounds(word, lang) for word in text.split()])
