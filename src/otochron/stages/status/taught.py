"""Tell a rule from a remark on this ear, among what is said to learners."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from otochron.stages.status.cues import Cue
from otochron.stages.status.grammar import Grammar
from otochron.stages.status.segments import Edge, Segments

_RULES = frozenset({"habit", "habit-adverb", "prevention", "condition"})
"""Cues by which a clause without a verb may still give a rule: "never suction in the vestibule"."""


def gives_a_rule(grammar: Grammar, segments: Segments, cues: Sequence[Cue], first: int, last: int) -> bool:
    """Tell whether a clause said to learners tells what is so always.

    It does not where it points at this ear, tells of an act of one's own, or has no verb at all.
    """
    starts = grammar.starts["own"]
    own = starts[bisect_left(starts, first) : bisect_left(starts, last)]
    if grammar.between("deixis", first, last) or any(segments.is_edge(p, Edge.SUBJECT) for p in own):
        return False
    if grammar.between("finite", first, last) or grammar.between("infinitive", first, last):
        return True
    n = bisect_left(cues, first, key=lambda cue: cue.first)
    m = bisect_left(cues, last, key=lambda cue: cue.first)
    return any(cue.role in _RULES for cue in cues[n:m])
