"""Decide the status of each target in a stream."""

from __future__ import annotations

from collections.abc import Sequence

from otochron.lexicon import Lexicon
from otochron.model import Status
from otochron.stages.status.reach import Target
from otochron.stages.status.scope import Scopes
from otochron.stages.status.taught import gives_a_rule
from otochron.text.stream import Word

_NO_RULE = frozenset({"side"})
"""Kinds of which no rule is told: the left ear is always this one."""


def statuses(
    words: Sequence[Word],
    clauses: Sequence[tuple[int, int]],
    targets: Sequence[Target],
    lexicon: Lexicon,
    teaching: Sequence[bool] = (),
) -> list[Status]:
    """Give the status of each target.

    Parameters
    ----------
    words : sequence of Word
        The stream, with languages.
    clauses : sequence of (int, int)
        Words ``first`` to ``last`` (half-open) of each clause.
    targets : sequence of (int, int, str)
        Words ``first`` to ``last`` (half-open) and the kind of what they name, in any order.
    lexicon : Lexicon
        For its cues.
    teaching : sequence of bool
        For each clause, whether it is told to learners; what it says is a rule unless it points at this ear.

    Returns
    -------
    list of Status
        In the order of ``targets``.
    """
    order = sorted(range(len(targets)), key=lambda n: targets[n])
    scopes = Scopes(words, clauses, [targets[n] for n in order], lexicon)
    read = scopes.read()
    for (first, last), taught in zip(clauses, teaching, strict=False):
        if taught and gives_a_rule(scopes.grammar, scopes.segments, scopes.cues, first, last):
            for n in scopes.reach.among(first, last):
                kept = n in scopes.dated or scopes.targets[n][2] in _NO_RULE
                read[n] = "general" if read[n] in ("affirmed", "planned") and not kept else read[n]
    found: list[Status] = ["affirmed"] * len(targets)
    for place, status in zip(order, read, strict=True):
        found[place] = status
    return found
