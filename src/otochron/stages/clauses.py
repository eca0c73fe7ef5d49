"""Cut the stream into clauses, and tell to whom each is spoken. Words: ``lexicons/cues/``."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from typing import Any

from otochron.lexicon import Lexicon
from otochron.lexicon.weights import load_weights
from otochron.model import Clause, Record
from otochron.stages.asking import asked_stretches, waits_after
from otochron.stages.registers import register
from otochron.text.segments import Seen, cut, gap_marks, name_of, score, spoken_evidence
from otochron.text.stream import Word, span_of, words

CUES = ("opener", "filler", "interjection", "courtesy", "thanks", "asking", "teaching", "aside", "preposition")
SMALL_TALK = frozenset({"courtesy", "thanks", "asking", "filler", "interjection", "preposition"})
"""Roles whose words say nothing besides the thing that is asked for."""
GRAMMAR = (
    "outright",
    "article",
    "determiner",
    "negation-without",
    "negation-thing",
    "negation-verb",
    "habit-adverb",
    "focus",
    "subject",
    "finite",
    "planned-now",
    "takes",
    "viewer",
    "question",
    "existence",
    "locative",
)
VERBS = frozenset({"subject", "finite", "existence"})
"""Roles of words that tell."""


def find_clauses(record: Record, lexicon: Lexicon) -> Record:
    """Cut the words into clauses, across lines.

    Parameters
    ----------
    record : Record
        Needs ``lines`` with their languages.
    lexicon : Lexicon
        Cues of the roles of ``CUES``, and all forms of concepts, which are not cut through.

    Returns
    -------
    Record
        With ``clauses`` in spoken order; together they hold every word once.
    """
    stream = words(record)
    if not stream:
        return record.evolve(clauses=())
    weights = load_weights("clauses")
    seen = seen_words(stream, lexicon)
    starts, asked = clause_starts(stream, seen, weights, record.recording.time_basis)
    found = [_clause(stream, seen, place, asked, weights) for place in pairwise([*starts, len(stream)])]
    return record.evolve(clauses=tuple(found))


def gap_scores(stream: Sequence[Word], seen: Sequence[Seen], weights: Mapping[str, Any], *, timed: bool) -> list[float]:
    """Give the score of a new clause before each word; the first counts for nothing."""
    gap, spoken = weights["gap"], weights["spoken"]
    names = [name_of(word) for word in stream]
    return [0.0] + [
        sum([gap[name] for name in gap_marks(stream, seen, names, n) if name in gap])
        + score(spoken_evidence(stream, n, timed=timed), spoken)
        for n in range(1, len(stream))
    ]


def clause_starts(
    stream: Sequence[Word], seen: Sequence[Seen], weights: Mapping[str, Any], basis: str
) -> tuple[list[int], Collection[tuple[int, int]]]:
    """Give the first word of each clause, and the stretches that are requests where they are whole clauses.

    Requests and gaps are weighed together: a likely request ends the clause before it.
    """
    gaps = gap_scores(stream, seen, weights, timed=basis == "word")
    asked = asked_stretches(stream, seen, gaps, waits_after(stream, known=basis != "block"), weights["asking"])
    return cut(gaps, weights["length"], asked), asked


def seen_words(stream: Sequence[Word], lexicon: Lexicon) -> list[Seen]:
    """Give what the word lists say of each word."""
    total = len(stream)
    cues: list[list[str]] = [[] for _ in range(total)]
    ended: list[list[str]] = [[] for _ in range(total + 1)]
    talk: set[int] = set()
    links = {n for hit in lexicon.cue_finder("asking-link").find(stream) for n in range(hit.first, hit.last)}
    for role in CUES:
        for hit in lexicon.cue_finder(role).find(stream):
            cues[hit.first].append(role)
            ended[hit.last].append(role)
            if role in SMALL_TALK:
                talk.update(range(hit.first, hit.last))
    inside: set[int] = set()
    kinds, concepts = [""] * total, [""] * total
    for hit in lexicon.finder.find(stream):
        inside.update(range(hit.first + 1, hit.last))
        kinds[hit.first] = lexicon[hit.concepts[0]].kind
        concepts[hit.first] = hit.concepts[0]
    for hit in lexicon.cue_finder("asking-thing").find(stream):
        kinds[hit.first] = kinds[hit.first] or "thing"
    grammar: list[list[str]] = [[] for _ in range(total)]
    for hit in lexicon.cue_finder(*GRAMMAR).find(stream):
        grammar[hit.first].append(lexicon[hit.concepts[0]].role or "")
    return [
        Seen(
            tuple(cues[n]),
            tuple(ended[n]),
            n in inside,
            kinds[n],
            n in links,
            n in talk,
            not VERBS.isdisjoint(grammar[n]),
            tuple(grammar[n]),
            concepts[n],
        )
        for n in range(total)
    ]


def _clause(
    stream: Sequence[Word],
    seen: Sequence[Seen],
    place: tuple[int, int],
    asked: Collection[tuple[int, int]],
    weights: Mapping[str, Any],
) -> Clause:
    first, last = place
    span = span_of(stream, first, last)
    languages = Counter(word.language for word in stream[first:last])
    asks = place in asked
    return Clause(
        id=f"clause-{span.line}-{span.start}",
        span=span,
        language=languages.most_common(1)[0][0],
        register_="request" if asks else register(stream[first:last], seen[first:last], weights["register"]),
    )
