"""Find the words that decide a status. Words: ``status-negation``, ``status-doubt``, ``status-time``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from otochron.lexicon import Lexicon
from otochron.stages.status.grammar import Grammar, find_exact, has_ending, verb_endings
from otochron.text.stream import Word

CUE_ROLES = (
    "negation-thing",
    "negation-without",
    "negation-more",
    "negation-quality",
    "negation-verb",
    "negation-after",
    "negation-last",
    "pseudo-negation",
    "answer-no",
    "answer-non",
    "intact",
    "uncertainty",
    "uncertainty-after",
    "question",
    "question-head",
    "inversion",
    "inversion-condition",
    "tag",
    "condition",
    "would",
    "fear",
    "fear-after",
    "scarcely",
    "near-miss",
    "unwanted",
    "prevention",
    "else",
    "announcement",
    "purpose",
    "planned-now",
    "planned-go",
    "wish",
    "planned-later",
    "habit",
    "habit-adverb",
    "past-case",
    "past-had",
    "taken-up",
    "other-case",
    "family",
    "look-back",
    "retraction",
)
_TO_SUBJECT = 5
_PAIR = 4
"""Words from the first half of a denial in two words to its second."""
_TO_NOUN = 7
"""Words between a pronoun or an article and a verb told by its ending."""
_LONGEST_NUMBER = 4
"""Words between "in" and "weeks" in "in three or four weeks"."""


@dataclass(frozen=True, slots=True)
class Cue:
    """One cue: words ``first`` to ``last`` (half-open), and the part it plays."""

    first: int
    last: int
    role: str
    scope: str = "both"


def find_cues(
    words: Sequence[Word], clauses: Iterable[tuple[int, int]], grammar: Grammar, lexicon: Lexicon
) -> list[Cue]:
    """Find the cues of status, in order; none spans two clauses, and a longer one hides those inside it."""
    ends = {last - 1 for _, last in clauses}
    words = tuple(replace(word, mark=".") if n in ends else word for n, word in enumerate(words))
    cues = [
        Cue(hit.first, hit.last, lexicon[concept].role or "", lexicon[concept].scope or "forward")
        for hit in find_exact(words, lexicon, *CUE_ROLES)
        for concept in hit.concepts
    ]
    cues += _times(words, lexicon)
    taken = {place for cue in cues for place in range(cue.first, cue.last)}
    cues += [cue for cue in _verbs(words, grammar, lexicon) if cue.first not in taken]
    cues += [cue for cue in _mistaken(words, lexicon) if cue.first not in taken]
    pairs = _pairs(words, lexicon)
    cues = [cue for cue in cues if cue.role != "habit-adverb" or cue.first not in pairs]
    cues += [Cue(place, place + 1, "negation-verb", "forward") for place in pairs]
    return sorted(set(cues), key=lambda cue: (cue.first, cue.last, cue.role))


def _times(words: Sequence[Word], lexicon: Lexicon) -> list[Cue]:
    """Find "in three weeks", "day seven" (still to come) and "ten years ago" (another day)."""
    found: list[Cue] = []
    numbers = {
        place for hit in find_exact(words, lexicon, "number-word", "quantity") for place in range(hit.first, hit.last)
    }
    leads = {hit.last: hit.first for hit in find_exact(words, lexicon, "time-lead")}
    leads_long = {hit.last: hit.first for hit in find_exact(words, lexicon, "duration-lead")}
    gone = {hit.last: hit.first for hit in find_exact(words, lexicon, "time-gone")}
    gone_after = {hit.first: hit.last for hit in find_exact(words, lexicon, "time-gone")}
    for unit in find_exact(words, lexicon, "time-unit"):
        if unit.last in gone_after and unit.language == "en":
            found.append(Cue(unit.first, gone_after[unit.last], "past-case"))
            continue
        if not (words[unit.first - 1].key[0].isdigit() or unit.first - 1 in numbers):
            continue
        for place in range(unit.first - 1, max(-1, unit.first - 1 - _LONGEST_NUMBER), -1):
            if words[place].mark == ".":
                break
            if place in gone:
                found.append(Cue(gone[place], unit.last, "past-case"))
                break
            if place in leads:
                found.append(Cue(leads[place], unit.last, "time-to-come"))
                break
            if place in leads_long:
                found.append(Cue(leads_long[place], unit.last, "duration"))
                break
        else:
            found.append(Cue(unit.first - 1, unit.last, "bare-duration"))
    found += [
        Cue(hit.first, hit.last + 1, "time-to-come")
        for hit in find_exact(words, lexicon, "numbered-day")
        if hit.last < len(words) and (words[hit.last].key[0].isdigit() or hit.last in numbers)
    ]
    return found


def _mistaken(words: Sequence[Word], lexicon: Lexicon) -> list[Cue]:
    """Find short cues that are words of one language alone, where they were taken for the other."""
    rule = lexicon.get("of-one-language")
    roles = {word: role for role, listed in rule.values.items() for word in _several(listed)} if rule else {}
    return [Cue(n, n + 1, roles[word.key], "forward") for n, word in enumerate(words) if word.key in roles]


def _pairs(words: Sequence[Word], lexicon: Lexicon) -> set[int]:
    """Find the second halves of a denial in two words ("ne … jamais"): their first half stands close before."""
    rule = lexicon.get("denial-pair")
    if rule is None:
        return set()
    first, second = _several(rule.values.get("first")), _several(rule.values.get("second"))
    return {
        n
        for n, word in enumerate(words)
        if word.key in second and any(w.key in first and w.mark != "." for w in words[max(0, n - _PAIR) : n])
    }


def _several(listed: object) -> tuple[str, ...]:
    return listed if isinstance(listed, tuple) else ()


def _verbs(words: Sequence[Word], grammar: Grammar, lexicon: Lexicon) -> list[Cue]:
    """Find the French future and conditional by their endings, and English contractions that announce."""
    endings = {"would": verb_endings(lexicon, "conditional"), "planned-now": verb_endings(lexicon, "future")}
    rule = lexicon.get("contractions")
    announcing = rule.values.get("planned-now", ()) if rule else ()
    found: list[Cue] = []
    for n, word in enumerate(words):
        if isinstance(announcing, tuple) and word.key in announcing:
            found.append(Cue(n, n + 1, "planned-now"))
        elif word.language == "fr" and _has_subject(n, grammar):
            found += [Cue(n, n + 1, role) for role, tense in endings.items() if has_ending(word, tense)][:1]
    return found


def _has_subject(place: int, grammar: Grammar) -> bool:
    """Tell whether a subject, or an article that may open one, stands close before a verb."""
    subject = grammar.between("subject", max(0, place - _TO_SUBJECT), place)
    return subject or grammar.between("determiner", max(0, place - _TO_NOUN), place)
