"""How likely a statement ends at each gap between words, and where the units of the timeline are cut.

A clause may hold the end of one act and the beginning of the next where the recogniser gave neither marks nor
silences. Units are therefore cut finer than clauses: wherever the evidence for the end of a statement
(``lexicons/weights/clauses.json``) is not small.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.text.segments import Seen, gap_marks, name_of, score, spoken_evidence
from otochron.text.stream import Places, Word

_CUES = ("opener", "filler", "courtesy", "asking", "teaching", "aside")
_LEAST = -2.5
"""A gap below this score is inside a statement."""
_SHORTEST = 2
_LONGEST = 10
_CLAUSE = 2.0
"""A clause's start is worth this much more than the same evidence inside a clause."""


def gap_scores(
    record: Record, stream: Sequence[Word], places: Places, lexicon: Lexicon, weights: Mapping[str, Any]
) -> list[float]:
    """Give the log-odds that a statement begins with each word; the first word has none."""
    total = len(stream)
    cues: list[list[str]] = [[] for _ in range(total)]
    ended: list[list[str]] = [[] for _ in range(total + 1)]
    for role in _CUES:
        for hit in lexicon.cue_finder(role).find(stream):
            cues[hit.first].append(role)
            ended[hit.last].append(role)
    inside: set[int] = set()
    kinds = [""] * total
    for mention in record.mentions:
        first, last = places.first(mention), places.last(mention)
        if first < total:
            kinds[first] = mention.kind
            inside.update(range(first + 1, last))
    seen = [Seen(tuple(cues[n]), tuple(ended[n]), n in inside, kinds[n]) for n in range(total)]
    timed = record.recording.time_basis == "word"
    gap, spoken = weights["gap"], weights["spoken"]
    names = [name_of(word) for word in stream]
    found = [0.0] * total
    for n in range(1, total):
        marks = sum([gap[name] for name in gap_marks(stream, seen, names, n) if name in gap])
        found[n] = marks + score(spoken_evidence(stream, n, timed=timed), spoken)
    return found


def unit_starts(scores: Sequence[float], clauses: set[int]) -> list[int]:
    """Give the first words of the units: the surest gaps first, none nearer than three words to another.

    >>> unit_starts([0, -9, -9, 3, -9, -9, 2, 4, -9, -9, -9], set())
    [0, 3, 7]
    """
    total = len(scores)
    worth = {n: scores[n] + (_CLAUSE if n in clauses else 0.0) for n in range(1, total)}
    taken = [False] * (total + _SHORTEST)
    taken[0] = True
    starts = [0] if total else []
    for n in sorted((n for n, value in worth.items() if value >= _LEAST), key=lambda n: (-worth[n], n)):
        if not any(taken[max(0, n - _SHORTEST + 1) : n + _SHORTEST]):
            taken[n] = True
            starts.append(n)
    starts.sort()
    found: list[int] = []
    for first, last in zip(starts, [*starts[1:], total], strict=True):
        pieces = -(-(last - first) // _LONGEST)
        found += [first + (last - first) * k // pieces for k in range(pieces)]
    return found
