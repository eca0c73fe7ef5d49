"""Cut the stream into clauses, and tell to whom each is spoken. Words: ``lexicons/cues/``."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from otochron.lexicon import Lexicon
from otochron.lexicon.weights import load_weights
from otochron.model import Clause, Record
from otochron.stages.registers import register
from otochron.text.segments import Seen, cut, gap_evidence, score, spoken_evidence
from otochron.text.stream import Word, span_of, words

CUES = ("opener", "filler", "courtesy", "asking", "teaching", "aside")


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
    starts = clause_starts(stream, seen, weights, timed=record.recording.time_basis == "word")
    found = [_clause(stream, seen, first, last, weights) for first, last in pairwise([*starts, len(stream)])]
    return record.evolve(clauses=tuple(found))


def clause_starts(
    stream: Sequence[Word], seen: Sequence[Seen], weights: Mapping[str, Any], *, timed: bool
) -> list[int]:
    """Give the first word of each clause."""
    gap, spoken = weights["gap"], weights["spoken"]
    scores = [0.0] + [
        score(gap_evidence(stream, seen, n), gap) + score(spoken_evidence(stream, n, timed=timed), spoken)
        for n in range(1, len(stream))
    ]
    return cut(scores, weights["length"])


def seen_words(stream: Sequence[Word], lexicon: Lexicon) -> list[Seen]:
    """Give what the word lists say of each word."""
    total = len(stream)
    cues: list[list[str]] = [[] for _ in range(total)]
    ended: list[list[str]] = [[] for _ in range(total + 1)]
    for role in CUES:
        for hit in lexicon.cue_finder(role).find(stream):
            cues[hit.first].append(role)
            ended[hit.last].append(role)
    inside: set[int] = set()
    kinds = [""] * total
    for hit in lexicon.finder.find(stream):
        inside.update(range(hit.first + 1, hit.last))
        kinds[hit.first] = lexicon[hit.concepts[0]].kind
    return [Seen(tuple(cues[n]), tuple(ended[n]), n in inside, kinds[n]) for n in range(total)]


def _clause(
    stream: Sequence[Word], seen: Sequence[Seen], first: int, last: int, weights: Mapping[str, Any]
) -> Clause:
    span = span_of(stream, first, last)
    languages = Counter(word.language for word in stream[first:last])
    return Clause(
        id=f"clause-{span.line}-{span.start}",
        span=span,
        language=languages.most_common(1)[0][0],
        register_=register(stream[first:last], seen[first:last], weights["register"]),
    )
