"""From the listed forms of an entry to the token sequences that are looked up.

A listed form stands for its inflections (``text/inflect_*.py``), for its hyphenated, spaced and joined
spellings, and for its spellings with missing accents. Articles inside a form do not count, and ``du``,
``des``, ``de la``, ``de l'`` are one preposition.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from otochron.lexicon.schema import Entry
from otochron.model import Lang
from otochron.text import inflect_en, inflect_fr
from otochron.text.normal import fold, key
from otochron.text.splitting import split_words

INFLECT = {"en": inflect_en, "fr": inflect_fr}
ARTICLES = frozenset({"the", "a", "an", "le", "la", "l'", "les", "un", "une"})
_SAME = {"du": "de", "des": "de", "d'": "de", "au": "à", "aux": "à"}
_INVARIANT = frozenset({"procedure", "approach", "position", "side", "cue", "protected"})

Tokens = tuple[str, ...]


@lru_cache(maxsize=65536)
def token(word: str) -> str:
    """Give the token under which a word is matched: its key, without possessive, prepositions merged.

    >>> token("du"), token("malleus's")
    ('de', 'malleus')
    """
    word = key(word)
    return _SAME.get(word, word.removesuffix("'s"))


@lru_cache(maxsize=65536)
def tokens(text: str) -> Tokens:
    """Split a form into tokens; articles count only at its start."""
    # An elided word is one only before a letter: a form that ends in one ("parce qu'") borrows a letter.
    elided = text.endswith("'")
    spoken = text + "a" if elided else text
    found = [token(spoken[a:b]) for a, b in split_words(spoken)]
    if elided:
        found.pop()
    return tuple(w for n, w in enumerate(found) if n == 0 or w not in ARTICLES)


def joined(form: str) -> Iterable[Tokens]:
    """Give the spellings of a form with its hyphens closed up, and of a two-word form as one word."""
    yield tokens(form)
    if "-" in form:
        yield tokens(form.replace("-", ""))
    elif form.count(" ") == 1 and "'" not in form:
        yield tokens(form.replace(" ", ""))


def inflected(entry: Entry, lang: Lang, form: str) -> set[Tokens]:
    """Give every token sequence that one listed form stands for, as spelt (accents kept)."""
    inflect = INFLECT[lang]
    found: set[Tokens] = set()
    for base in joined(form):
        if not base:
            continue
        found.add(base)
        if entry.kind == "action":
            found |= inflect.verb_forms(base)
        elif entry.kind == "finding":
            found |= inflect.adjective_forms(base) | inflect.noun_forms(base)
        elif entry.kind not in _INVARIANT:
            found |= inflect.noun_forms(base)
    return found


def unaccented(form: Tokens) -> Tokens:
    """Give a form without its accents."""
    return tuple(fold(word) for word in form)
