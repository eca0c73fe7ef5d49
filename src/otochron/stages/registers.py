"""To whom a clause is spoken: nobody (narration), viewers (teaching), staff (request), or off the subject (aside)."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import pairwise

from otochron.model import Register
from otochron.text.segments import Seen
from otochron.text.stream import Word

Weights = Mapping[str, Mapping[str, float]]
REGISTERS: tuple[Register, ...] = ("narration", "teaching", "request", "aside")
_OTHERS: tuple[Register, ...] = ("narration", "teaching", "aside")
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
    return f"size={bisect_left(_SIZES, len(names))}"


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


_Each = tuple[float, ...] | None
"""The weights of one piece of evidence for each register; None where no register knows it."""


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

    def lexical(self, names: Sequence[str]) -> list[_Each]:
        """Give what is known of the words of a stretch, in the order of the evidence."""
        of = self.of
        found = [of.get("clause"), of.get(_size(names))]
        found += map(self.words.get, dict.fromkeys(names))
        found += map(self.pairs.get, dict.fromkeys(pairwise(names)))
        return [*found, of.get(f"first={names[0]}"), of.get(f"last={names[-1]}")]

    def sums(self, lexical: Sequence[_Each], seen: Sequence[Seen]) -> dict[Register, float]:
        """Give the same sums as the evidence and its weights, term after term."""
        told = [each for each in (*lexical, *map(self.of.get, dict.fromkeys(_listed(seen)))) if each is not None]
        if not told:
            return dict.fromkeys(REGISTERS, 0.0)
        return dict(zip(REGISTERS, map(sum, zip(*told, strict=True)), strict=True))


_made: list[_Table] = []


def _table(weights: Weights) -> _Table:
    if not _made or _made[0].weights is not weights:
        _made[:] = [_Table(weights)]
    return _made[0]


def register_scores(words: Sequence[Word], seen: Sequence[Seen], weights: Weights) -> dict[Register, float]:
    """Give the score of each register for one clause."""
    table = _table(weights)
    return table.sums(table.lexical([word.key for word in words]), seen)


def register(words: Sequence[Word], seen: Sequence[Seen], weights: Weights) -> Register:
    """Choose the register of one clause; the earlier of ``REGISTERS`` wins where two are equal."""
    return _chosen(register_scores(words, seen, weights))


def _chosen(scores: Mapping[Register, float]) -> Register:
    return max(REGISTERS, key=lambda name: scores[name])


class _Stretches:
    """The scores of stretches of one stream, each worked out once."""

    def __init__(self, stream: Sequence[Word], seen: Sequence[Seen], weights: Weights) -> None:
        self.stream = stream
        self.seen = seen
        self.table = table = _table(weights)
        self.names = names = [word.key for word in stream]
        self._words = [table.words.get(name) for name in names]
        self._pairs = [table.pairs.get(pair) for pair in pairwise(names)]
        at: dict[str, int] = {}
        self._said_before = [-1] * len(names)
        """Where each word was said last."""
        for n, name in enumerate(names):
            self._said_before[n] = at.get(name, -1)
            at[name] = n
        self._scores: dict[tuple[int, int], dict[Register, float]] = {}

    def scores(self, first: int, last: int) -> dict[Register, float]:
        """Give the score of each register for some words."""
        found = self._scores.get((first, last))
        if found is None:
            found = self._scores[first, last] = self.table.sums(self._lexical(first, last), self.seen[first:last])
        return found

    def _lexical(self, first: int, last: int) -> list[_Each]:
        names, of = self.names, self.table.of
        if max(self._said_before[first:last]) >= first:
            return self.table.lexical(names[first:last])
        # No word is said twice, so each counts once.
        found = [of.get("clause"), of.get(_size(names[first:last])), *self._words[first:last]]
        found += self._pairs[first : last - 1]
        return [*found, of.get(f"first={names[first]}"), of.get(f"last={names[last - 1]}")]

    def is_request(self, first: int, last: int) -> bool:
        """Tell whether request is the register of some words: no other scores as high."""
        return _chosen(self.scores(first, last)) == "request"

    def lead(self, first: int, last: int) -> float:
        """Give by how much request leads over every other register."""
        scores = self.scores(first, last)
        return scores["request"] - max([scores[name] for name in _OTHERS])


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
    stretches = _Stretches(stream, seen, weights)
    waiting = list(pairwise([*starts, len(stream)]))[::-1]
    while waiting:
        first, last = waiting.pop()
        place, value = _best_cut(stretches, gaps, first, last)
        enough = _ENOUGH
        if place and stretches.is_request(first, last):
            enough += _MORE_IN_REQUEST
        if place and value > enough:
            waiting += [(place, last), (first, place)]
        else:
            found.append(first)
    return _with_links(stretches, found)


def _with_links(stretches: _Stretches, starts: Sequence[int]) -> list[int]:
    """Give a request the articles and sizes before it: ``… | a bigger | suction please``."""
    stream, seen = stretches.stream, stretches.seen
    found: list[int] = []
    for first, last in pairwise([*starts, len(stream)]):
        start = first
        if stretches.is_request(first, last):
            while start and seen[start - 1].link and not seen[start - 1].talk and not stream[start - 1].mark:
                start -= 1
        while found and found[-1] >= start:
            found.pop()
        found.append(start)
    return found


def _best_cut(stretches: _Stretches, gaps: Sequence[float], first: int, last: int) -> tuple[int, float]:
    """Give where a short request may be cut from the head or tail of a clause, and how good the cut is."""
    stream, seen = stretches.stream, stretches.seen
    best, best_value = 0, 0.0
    for place in range(first + 1, last):
        if stream[place].glued or seen[place].inside or gaps[place] + _LEAD_SHARE * _MOST_LEAD < _ENOUGH:
            continue
        for a, b in ((first, place), (place, last)):
            if b - a > _REQUEST_WORDS:
                continue
            lead = stretches.lead(a, b)
            value = gaps[place] + _LEAD_SHARE * lead
            if lead > 0 and (not best or value > best_value):
                best, best_value = place, value
    return best, best_value
