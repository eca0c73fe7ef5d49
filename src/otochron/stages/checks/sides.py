"""Doubt about the side: the gravest."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Check, Record
from otochron.stages.checks.wording import Wording

_THIS_EAR = frozenset({"affirmed", "planned"})


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Stop where another side is said for this ear, or no side was understood.

    The case stage decides which words about a side speak of this ear; here only items of the case are
    compared: an implant, a step or a procedure on the other side than the case.
    """
    del lexicon
    side = record.case.side
    if side.value is None:
        return [wording.check("side-not-said", side.evidence)]
    found: list[Check] = []
    for mention in record.mentions:
        if mention.kind == "side" and mention.refers_to == "this-ear" and mention.status in _THIS_EAR:
            said = mention.concept
            if said in {"left", "right"} and side.value in {"left", "right"} and said != side.value:
                found.append(wording.check("side-contradiction", [mention], said=mention.surface, side=wording.name(side.value)))
    for item in record.case.procedures:
        if item.side and item.status in _THIS_EAR and side.value != "both" and item.side != side.value:
            found.append(
                wording.check("side-contradiction", item.evidence, said=wording.name(item.side), side=wording.name(side.value))
            )
    return found
