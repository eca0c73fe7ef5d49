"""To whom a clause that asks for nothing is spoken: nobody (narration), viewers (teaching), off the subject (aside)."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import pairwise

from otochron.model import Register
from otochron.stages.asking import ASKED
from otochron.text.segments import Seen
from otochron.text.stream import Word

Weights = Mapping[str, Mapping[str, float]]
REGISTERS: tuple[Register, ...] = ("narration", "teaching", "aside")
"""Besides requests, which are told with the cutting (``stages/asking.py``)."""
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
    scores = register_scores(words, seen, weights)
    return max(REGISTERS, key=lambda name: scores[name])
