"""To whom a clause is spoken: nobody (narration), viewers (teaching), staff (request), or off the subject (aside)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from otochron.model import Register
from otochron.text.segments import Seen, score
from otochron.text.stream import Word

Weights = Mapping[str, Mapping[str, float]]
REGISTERS: tuple[Register, ...] = ("narration", "teaching", "request", "aside")
ASKED = frozenset({"instrument", "implant", "graft", "material", "packing", "closure", "thing"})
"""Kinds of what is asked for by its bare name."""
_REQUEST_WORDS = 10
_LEAD_SHARE = 0.5
_MOST_LEAD = 14.0
_ENOUGH = 1.0
"""What the score of a gap and half the lead of request must reach; tuned on the samples that are not reported."""
_MORE_IN_REQUEST = 2.0
_SIZES = (2, 4, 7, 11, 16)


def register_evidence(words: Sequence[Word], seen: Sequence[Seen]) -> dict[str, float]:
    """Give the evidence of one clause."""
    found: dict[str, float] = {"clause": 1.0, f"size={sum(len(words) > size for size in _SIZES)}": 1.0}
    names = [word.key for word in words]
    for name in names:
        found[f"word={name}"] = 1.0
    for one, two in pairwise(names):
        found[f"pair={one} {two}"] = 1.0
    found[f"first={names[0]}"] = 1.0
    found[f"last={names[-1]}"] = 1.0
    first_kind = next((what.kind for what in seen if what.kind), "")
    bare = (
        all(what.kind or what.inside or what.link or what.talk for what in seen) and "preposition" not in seen[0].cues
    )
    if not first_kind and any("thanks" in what.cues for what in seen):
        found["thanks for no thing"] = 1.0
    if bare and first_kind in ASKED:
        found["bare thing to ask for"] = 1.0
    found[f"{'bare ' if bare else ''}kind of first thing={first_kind}"] = 1.0
    for n, what in enumerate(seen):
        for role in what.cues:
            found[f"cue={role}"] = 1.0
            if not n:
                found[f"first cue={role}"] = 1.0
        if what.kind:
            found[f"kind={what.kind}"] = 1.0
            if not n:
                found[f"first kind={what.kind}"] = 1.0
    return found


def register_scores(words: Sequence[Word], seen: Sequence[Seen], weights: Weights) -> dict[Register, float]:
    """Give the score of each register for one clause."""
    evidence = register_evidence(words, seen)
    return {name: score(evidence, weights[name]) for name in REGISTERS}


def register(words: Sequence[Word], seen: Sequence[Seen], weights: Weights) -> Register:
    """Choose the register of one clause; the earlier of ``REGISTERS`` wins where two are equal."""
    scores = register_scores(words, seen, weights)
    return max(REGISTERS, key=lambda name: scores[name])


def _lead(words: Sequence[Word], seen: Sequence[Seen], weights: Weights) -> float:
    """Give by how much request leads over every other register."""
    scores = register_scores(words, seen, weights)
    return scores["request"] - max(value for name, value in scores.items() if name != "request")


def request_starts(
    stream: Sequence[Word], seen: Sequence[Seen], gaps: Sequence[float], starts: Sequence[int], weights: Weights
) -> list[int]:
    """Cut short requests out of longer clauses: ``ça saigne un peu | la bipolaire``.

    Parameters
    ----------
    stream, seen : sequence
        The words, and what the word lists say of them.
    gaps : sequence of float
        Score of a new clause before each word.
    starts : sequence of int
        Where clauses start so far.
    weights : mapping
        Weights of each register.

    Returns
    -------
    list of int
        The starts, and the new ones, sorted.
    """
    found: list[int] = []
    waiting = list(pairwise([*starts, len(stream)]))[::-1]
    while waiting:
        first, last = waiting.pop()
        place, value = _best_cut(stream, seen, gaps, (first, last), weights)
        enough = _ENOUGH
        if place and register(stream[first:last], seen[first:last], weights) == "request":
            enough += _MORE_IN_REQUEST
        if place and value > enough:
            waiting += [(place, last), (first, place)]
        else:
            found.append(first)
    return _with_links(stream, seen, found, weights)


def _with_links(stream: Sequence[Word], seen: Sequence[Seen], starts: Sequence[int], weights: Weights) -> list[int]:
    """Give a request the articles and sizes before it: ``… | a bigger | suction please``."""
    found: list[int] = []
    for first, last in pairwise([*starts, len(stream)]):
        start = first
        if register(stream[first:last], seen[first:last], weights) == "request":
            while start and seen[start - 1].link and not seen[start - 1].talk and not stream[start - 1].mark:
                start -= 1
        while found and found[-1] >= start:
            found.pop()
        found.append(start)
    return found


def _best_cut(
    stream: Sequence[Word], seen: Sequence[Seen], gaps: Sequence[float], clause: tuple[int, int], weights: Weights
) -> tuple[int, float]:
    """Give where a short request may be cut from the head or tail of a clause, and how good the cut is."""
    first, last = clause
    best, best_value = 0, 0.0
    for place in range(first + 1, last):
        if stream[place].glued or seen[place].inside:
            continue
        for a, b in ((first, place), (place, last)):
            if b - a > _REQUEST_WORDS or gaps[place] + _LEAD_SHARE * _MOST_LEAD < _ENOUGH:
                continue
            lead = _lead(stream[a:b], seen[a:b], weights)
            value = gaps[place] + _LEAD_SHARE * lead
            if lead > 0 and (not best or value > best_value):
                best, best_value = place, value
    return best, best_value
