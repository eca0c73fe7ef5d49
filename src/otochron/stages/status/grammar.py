"""Find the small words of grammar that bound and join what a status covers; words: ``status-grammar``."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from otochron.lexicon import Hit, Lexicon
from otochron.text.stream import Word

GRAMMAR_ROLES = (
    "turn",
    "cause",
    "contrast",
    "subject",
    "complement",
    "coordinator",
    "addition",
    "company",
    "locative",
    "belonging",
    "relation",
    "article",
    "determiner",
    "indefinite",
    "existence",
    "finite",
    "past-tense",
    "participle",
    "when",
    "number-word",
    "infinitive",
    "gerund",
    "past-form",
    "focus",
    "clitic",
    "deixis",
    "own",
    "advice",
    "answer",
)
_TOLD_BY_ENDING = frozenset({"finite", "infinitive", "gerund", "past-form"})
_SHORTEST_VERB = 4


@dataclass(slots=True)
class Grammar:
    """Where the small words stand: for each role the words that begin one, and all words it covers."""

    starts: dict[str, list[int]] = field(default_factory=dict)
    covers: dict[str, set[int]] = field(default_factory=dict)

    def at(self, place: int, *roles: str) -> bool:
        """Tell whether a word belongs to an expression of one of some roles."""
        return any(place in self.covers[role] for role in roles)

    def among(self, places: range, *roles: str) -> bool:
        """Tell whether any of some words belongs to an expression of one of some roles."""
        return any(self.at(place, *roles) for place in places)

    def between(self, role: str, first: int, last: int) -> bool:
        """Tell whether an expression of a role begins among some words."""
        starts = self.starts[role]
        n = bisect_left(starts, first)
        return n < len(starts) and starts[n] < last


def read_grammar(words: Sequence[Word], lexicon: Lexicon) -> Grammar:
    """Find the small words of grammar."""
    grammar = Grammar()
    by_key: dict[str, list[int]] = {}
    for n, word in enumerate(words):
        by_key.setdefault(word.key, []).append(n)
    for role in GRAMMAR_ROLES:
        hits = find_exact(words, lexicon, role)
        starts = {hit.first for hit in hits}
        covers = {place for hit in hits for place in range(hit.first, hit.last)}
        # Look-up takes "that's" for a possessive.
        more = {n for contraction in _contractions(lexicon, role) for n in by_key.get(contraction, ())}
        if role in _TOLD_BY_ENDING:
            endings = {lang: verb_endings(lexicon, f"{role}-{lang}") for lang in ("en", "fr")}
            more |= {n for n, word in enumerate(words) if has_ending(word, endings[word.language])}
        grammar.starts[role] = sorted(starts | more)
        grammar.covers[role] = covers | more
    return grammar


def is_number(words: Sequence[Word], place: int, grammar: Grammar) -> bool:
    """Tell whether a word is a number."""
    return words[place].key[0].isdigit() or grammar.at(place, "number-word")


@lru_cache(maxsize=128)
def _listed(lexicon: Lexicon, roles: tuple[str, ...]) -> frozenset[str]:
    cues = (cue for role in roles for cue in lexicon.cues(role))
    return frozenset(form for cue in cues for form in (*cue.en.forms, *cue.fr.forms))


def find_exact(words: Sequence[Word], lexicon: Lexicon, *roles: str) -> list[Hit]:
    """Find cues, without taking a short word for another by its accent: "à" is not "a", nor "où" "ou"."""
    listed = _listed(lexicon, roles)
    return [
        hit
        for hit in lexicon.cue_finder(*roles).find(words)
        if hit.last - hit.first > 1 or words[hit.first].key.isascii() or words[hit.first].key in listed
    ]


def _contractions(lexicon: Lexicon, role: str) -> tuple[str, ...]:
    """Give the contractions of a role."""
    rule = lexicon.get("contractions")
    found = rule.values.get(role, ()) if rule else ()
    return found if isinstance(found, tuple) else ()


def verb_endings(lexicon: Lexicon, tense: str) -> tuple[str, ...]:
    """Give the endings of a form of the verb."""
    rule = lexicon.get("verb-endings")
    endings = rule.values.get(tense, ()) if rule else ()
    return endings if isinstance(endings, tuple) else ()


def has_ending(word: Word, endings: tuple[str, ...]) -> bool:
    """Tell whether a word is a stem and one of some endings."""
    key = word.key
    return (
        len(key) >= _SHORTEST_VERB
        and key.endswith(endings)
        and any(key.endswith(ending) and len(key) > len(ending) for ending in endings)
    )
