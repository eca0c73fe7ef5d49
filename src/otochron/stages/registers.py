"""To whom a clause is spoken: nobody (narration), viewers (teaching), staff (request), or off the subject (aside)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from otochron.model import Register
from otochron.text.segments import Seen, score
from otochron.text.stream import Word

REGISTERS: tuple[Register, ...] = ("narration", "teaching", "request", "aside")
_SIZES = (2, 4, 7, 11, 16)


def register_evidence(words: Sequence[Word], seen: Sequence[Seen]) -> dict[str, float]:
    """Give the evidence of one clause."""
    found: dict[str, float] = {"clause": 1.0, f"size={sum(len(words) > size for size in _SIZES)}": 1.0}
    names = [word.key for word in words]
    for name in names:
        found[f"word={name}"] = 1.0
    for one, two in zip(names, names[1:], strict=False):
        found[f"pair={one} {two}"] = 1.0
    found[f"first={names[0]}"] = 1.0
    found[f"last={names[-1]}"] = 1.0
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


def register(
    words: Sequence[Word], seen: Sequence[Seen], weights: Mapping[str, Mapping[str, float]]
) -> Register:
    """Choose the register of one clause; the earlier of ``REGISTERS`` wins where two are equal."""
    evidence = register_evidence(words, seen)
    return max(REGISTERS, key=lambda name: score(evidence, weights[name]))
