"""The ten checks of a word list. All problems are reported in one go, sorted by place.

LEX01 not TOML, not NFC, or a curly apostrophe; LEX02 unknown field; LEX03 id not kebab-case;
LEX04 a language neither given nor declared without a term; LEX05 a form claimed twice; LEX06 a reference to
nothing; LEX07 no ``yes`` sentence, or a short form without a ``no``; LEX08 a sentence that does not hold;
LEX09 no source; LEX10 a ``not_in`` without any form of its entry.
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict

from otochron.lexicon.forms import Tokens, inflected, tokens
from otochron.lexicon.load import Lexicon
from otochron.lexicon.schema import RELATIONS, SPOKEN_KINDS, Entry
from otochron.model import Lang
from otochron.text.stream import Word, split_words

_LANGUAGES: tuple[Lang, ...] = ("en", "fr")
_KEBAB = re.compile(r"^[a-z0-9]+(-[a-z0-9]+)*$")
_SHORT = 4


def check(lexicon: Lexicon) -> list[str]:
    """Give every problem of a lexicon, sorted; an empty list means that all ten checks hold."""
    problems: list[str] = []
    for entry in lexicon.entries.values():
        problems += [f"{code} {entry.file}: [{entry.id}] {text}" for code, text in _entry_problems(entry, lexicon)]
    problems += _claims(lexicon)
    problems += _sentences(lexicon)
    return sorted(set(problems), key=lambda p: (p.split(" ", 1)[1], p))


def _entry_problems(entry: Entry, lexicon: Lexicon) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    if not _KEBAB.match(entry.id):
        found.append(("LEX03", "the id is not kebab-case (a-z, 0-9, single hyphens)"))
    if not entry.source.strip():
        found.append(("LEX09", "has no source"))
    for relation in RELATIONS:
        found += [("LEX06", f"{relation}: no entry {t!r}") for t in getattr(entry, relation) if t not in lexicon]
    if entry.phase and entry.phase not in lexicon:
        found.append(("LEX06", f"phase: no entry {entry.phase!r}"))
    if entry.kind in SPOKEN_KINDS:
        for lang in _LANGUAGES:
            found += _tongue_problems(entry, lang)
    return found


def _tongue_problems(entry: Entry, lang: Lang) -> list[tuple[str, str]]:
    tongue = entry.tongue(lang)
    found: list[tuple[str, str]] = []
    if not tongue.forms:
        if not tongue.none:
            found.append(("LEX04", f'{lang}: no forms, and no none = "…" that says why'))
        return found
    found += [
        ("LEX01", f"{lang}: {text!r} is not NFC with straight apostrophes")
        for text in (*tongue.forms, *tongue.not_in, *tongue.yes, *tongue.no)
        if text != unicodedata.normalize("NFC", text) or "’" in text
    ]
    if not tongue.yes:
        found.append(("LEX07", f"{lang}: no yes sentence"))
    if any(len(form) <= _SHORT for form in tongue.forms) and not tongue.no:
        found.append(("LEX07", f"{lang}: a form of four letters or fewer needs a no sentence"))
    every = [form for listed in tongue.forms for form in inflected(entry, lang, listed)]
    for phrase in tongue.not_in:
        inside = tokens(phrase)
        if not any(_contains(inside, form) for form in every):
            found.append(("LEX10", f"{lang}: not_in {phrase!r} contains none of the forms"))
    return found


def _contains(outer: Tokens, inner: Tokens) -> bool:
    return any(outer[n : n + len(inner)] == inner for n in range(len(outer) - len(inner) + 1))


def _claims(lexicon: Lexicon) -> list[str]:
    owners: dict[tuple[Lang, Tokens], set[str]] = defaultdict(set)
    for entry in lexicon.entries.values():
        if entry.kind not in SPOKEN_KINDS:
            continue
        for lang in _LANGUAGES:
            for listed in entry.tongue(lang).forms:
                for found in inflected(entry, lang, listed):
                    owners[lang, found].add(entry.id)
    problems: list[str] = []
    for (lang, form), ids in owners.items():
        for one in sorted(ids):
            missing = sorted(ids - {one} - set(lexicon[one].shared_with))
            if missing:
                others = ", ".join(missing)
                text = f"{lang}: {' '.join(form)!r} is also claimed by {others} (shared_with on both, or drop it)"
                problems.append(f"LEX05 {lexicon[one].file}: [{one}] {text}")
    return problems


def say(text: str, lang: Lang) -> list[Word]:
    """Make a stream of words of one language from a sentence."""
    return [
        Word(n, text[a:b], text[a:b].casefold(), "line-1", a, b, 0, 0, lang)
        for n, (a, b) in enumerate(split_words(text))
    ]


def _sentences(lexicon: Lexicon) -> list[str]:
    problems: list[str] = []
    for entry in lexicon.entries.values():
        if entry.kind not in SPOKEN_KINDS:
            continue
        finder = lexicon.side_finder if entry.kind == "side" else lexicon.finder
        for lang in _LANGUAGES:
            tongue = entry.tongue(lang)
            for sentence, wanted in [(s, True) for s in tongue.yes] + [(s, False) for s in tongue.no]:
                found = any(entry.id in hit.concepts for hit in finder.find(say(sentence, lang)))
                if found is not wanted:
                    what = "is not found in" if wanted else "is found in"
                    problems.append(f"LEX08 {entry.file}: [{entry.id}] {lang}: {what} {sentence!r}")
    return problems
