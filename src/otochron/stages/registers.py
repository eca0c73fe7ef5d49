"""To whom a clause is spoken: nobody (narration), viewers (teaching), staff (request), or off the subject (aside)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from otochron.model import Register
from otochron.text.segments import Seen
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
    names = [word.key for word in words]
    found = {"clause": 1.0, _size(names): 1.0}
    found |= {f"word={name}": 1.0 for name in names}
    found |= {f"pair={one} {two}": 1.0 for one, two in pairwise(names)}
    found |= {f"first={names[0]}": 1.0, f"last={names[-1]}": 1.0}
    return found | dict.fromkeys(_listed(seen), 1.0)


def _size(names: Sequence[str]) -> str:
    return f"size={sum(len(names) > size for size in _SIZES)}"


def _listed(seen: Sequence[Seen]) -> list[str]:
    """Give the evidence that the word lists bring; a name may come twice and counts once."""
    found: list[str] = []
    first_kind = next((what.kind for what in seen if what.kind), "")
    bare = "preposition" not in seen[0].cues
    thanks = False
    more: list[str] = []
    for n, what in enumerate(seen):
        if bare and not (what.kind or what.inside or what.link or what.talk):
            bare = False
        for role in what.cues:
            thanks = thanks or role == "thanks"
            more.append(f"cue={role}")
            if not n:
                more.append(f"first cue={role}")
        if what.kind:
            more.append(f"kind={what.kind}")
            if not n:
                more.append(f"first kind={what.kind}")
    if not first_kind and thanks:
        found.append("thanks for no thing")
    if bare and first_kind in ASKED:
        found.append("bare thing to ask for")
    found.append(f"{'bare ' if bare else ''}kind of first thing={first_kind}")
    return found + more


class _Table:
    """The weights of all registers by evidence, so that one look-up gives all; words and pairs by their keys."""

    def __init__(self, weights: Weights) -> None:
        self.weights = weights
        self.of: dict[str, tuple[float, ...]] = {}
        self.words: dict[str, tuple[float, ...]] = {}
        self.pairs: dict[tuple[str, ...], tuple[float, ...]] = {}
        for name in dict.fromkeys(name for register_ in REGISTERS for name in weights[register_]):
            each = tuple(weights[register_].get(name, 0.0) for register_ in REGISTERS)
            self.of[name] = each
            if name.startswith("word="):
                self.words[name.removeprefix("word=")] = each
            elif name.startswith("pair="):
                self.pairs[tuple(name.removeprefix("pair=").split(" "))] = each

    def scores(self, words: Sequence[Word], seen: Sequence[Seen]) -> dict[Register, float]:
        """Give the same sums as the evidence and its weights, term after term."""
        of, names = self.of, [word.key for word in words]
        found = [of.get("clause"), of.get(_size(names))]
        found += map(self.words.get, dict.fromkeys(names))
        found += map(self.pairs.get, dict.fromkeys(pairwise(names)))
        found += [of.get(f"first={names[0]}"), of.get(f"last={names[-1]}")]
        found += map(of.get, dict.fromkeys(_listed(seen)))
        told = [each for each in found if each is not None]
        return (
            dict(zip(REGISTERS, map(sum, zip(*told, strict=True)), strict=True))
            if told
            else dict.fromkeys(REGISTERS, 0.0)
        )


_made: list[_Table] = []


def _table(weights: Weights) -> _Table:
    if not _made or _made[0].weights is not weights:
        _made[:] = [_Table(weights)]
    return _made[0]


def register_scores(words: Sequence[Word], seen: Sequence[Seen], weights: Weights) -> dict[Register, float]:
    """Give the score of each register for one clause."""
    return _table(weights).scores(words, seen)


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
