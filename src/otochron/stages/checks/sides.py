"""Doubt about the side: the gravest."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Check, Record
from otochron.stages.checks.wording import Wording

_THIS_EAR = frozenset({"affirmed", "planned"})


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Stop where another side is said for this ear, or no side was understood.

    The case stage decides which words about a side speak of this ear (``case.side.against`` are those that speak
    against its value); a procedure on the other side than the case is one more contradiction.
    """
    del lexicon
    side = record.case.side
    if side.value is None:
        if side.evidence:
            said = ", ".join(f"“{wording.said(span)}”" for span in side.evidence)
            return [wording.check("side-two-said", side.evidence, said=said)]
        return [wording.check("side-not-said")]
    found = [
        wording.check("side-contradiction", [span], said=wording.said(span), side=wording.name(side.value))
        for span in side.against
    ]
    if side.value == "both":
        return found
    found += [
        wording.check("side-contradiction", item.evidence, said=wording.name(item.side), side=wording.name(side.value))
        for item in record.case.procedures
        if item.side and item.side != side.value and item.status in _THIS_EAR
    ]
    return found
