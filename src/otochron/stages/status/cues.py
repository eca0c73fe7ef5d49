"""Find the words that decide a status, and the small words of grammar that bound them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field

from otochron.lexicon import Lexicon
from otochron.text.stream import Word

CUE_ROLES = (
    "negation-thing",
    "negation-verb",
    "negation-after",
    "pseudo-negation",
    "answer-no",
    "answer-non",
    "intact",
    "uncertainty",
    "uncertainty-after",
    "question",
    "inversion",
    "inversion-condition",
    "condition",
    "would",
    "fear",
    "prevention",
    "planned-now",
    "planned-later",
    "habit",
    "habit-adverb",
    "past-case",
    "other-case",
    "look-back",
    "retraction",
)
GRAMMAR_ROLES = (
    "turn",
    "contrast",
    "subject",
    "complement",
    "coordinator",
    "locative",
    "determiner",
    "indefinite",
    "existence",
    "finite",
    "past-tense",
    "deixis",
)
_LONGEST_NUMBER = 4
"""Words between "in" and "weeks" in "in three or four weeks"."""


@dataclass(frozen=True, slots=True)
class Cue:
    """One cue: words ``first`` to ``last`` (half-open), and the part it plays."""

    first: int
    last: int
    role: str
    scope: str
    entry: str = ""


@dataclass(slots=True)
class Grammar:
    """Where the small words stand: for each role the words that begin one, and all words it covers."""

    starts: dict[str, list[int]] = field(default_factory=dict)
    covers: dict[str, set[int]] = field(default_factory=dict)

    def at(self, role: str, place: int) -> bool:
        """Tell whether a word belongs to an expression of a role."""
        return place in self.covers[role]

    def between(self, role: str, first: int, last: int) -> bool:
        """Tell whether an expression of a role begins among some words."""
        starts = self.starts[role]
        n = bisect_left(starts, first)
        return n < len(starts) and starts[n] < last


def read_grammar(words: Sequence[Word], lexicon: Lexicon) -> Grammar:
    """Find the small words of grammar."""
    grammar = Grammar()
    for role in GRAMMAR_ROLES:
        hits = lexicon.cue_finder(role).find(words)
        grammar.starts[role] = [hit.first for hit in hits]
        grammar.covers[role] = {place for hit in hits for place in range(hit.first, hit.last)}
    return grammar


def find_cues(words: Sequence[Word], lexicon: Lexicon) -> list[Cue]:
    """Find the cues of status, in order. A longer cue hides the shorter ones inside it."""
    cues: list[Cue] = []
    for hit in lexicon.cue_finder(*CUE_ROLES).find(words):
        for concept in hit.concepts:
            entry = lexicon[concept]
            cues.append(Cue(hit.first, hit.last, entry.role or "", entry.scope or "forward", concept))
    cues += _times(words, lexicon)
    cues += _verb_endings(words, lexicon)
    return sorted(cues, key=lambda cue: (cue.first, cue.last, cue.role))


def _times(words: Sequence[Word], lexicon: Lexicon) -> list[Cue]:
    """Find "in three weeks", "day seven" (still to come) and "ten years ago" (another day)."""
    found: list[Cue] = []
    leads = {hit.last: hit.first for hit in lexicon.cue_finder("time-lead").find(words)}
    gone = {hit.last: hit.first for hit in lexicon.cue_finder("time-gone").find(words)}
    gone_after = {hit.first: hit.last for hit in lexicon.cue_finder("time-gone").find(words)}
    for unit in lexicon.cue_finder("time-unit").find(words):
        if unit.last in gone_after and words[unit.first].language == "en":
            found.append(Cue(unit.first, gone_after[unit.last], "past-case", "both"))
            continue
        for place in range(unit.first - 1, max(-1, unit.first - 1 - _LONGEST_NUMBER), -1):
            if place in gone:
                found.append(Cue(gone[place], unit.last, "past-case", "both"))
                break
            if place in leads:
                found.append(Cue(leads[place], unit.last, "time-to-come", "both"))
                break
    numbers = {hit.first: hit.last for hit in lexicon.cue_finder("number-word").find(words)}
    for hit in lexicon.cue_finder("numbered-day").find(words):
        if hit.last < len(words) and (words[hit.last].key.isdigit() or hit.last in numbers):
            found.append(Cue(hit.first, hit.last + 1, "time-to-come", "both"))
    return found


def _verb_endings(words: Sequence[Word], lexicon: Lexicon) -> list[Cue]:
    """Find the French future and conditional by their endings."""
    rule = lexicon.get("future-endings")
    if rule is None:
        return []
    future = rule.values["future"]
    conditional = rule.values["conditional"]
    assert isinstance(future, tuple) and isinstance(conditional, tuple)
    found: list[Cue] = []
    for n, word in enumerate(words):
        if word.language != "fr" or len(word.key) < 4:
            continue
        for role, endings in (("would", conditional), ("planned-now", future)):
            if any(word.key.endswith(ending) and len(word.key) > len(ending) for ending in endings):
                found.append(Cue(n, n + 1, role, "both"))
                break
    return found
