"""What the surgeon must look at, and what a note must hold and nobody said. Words: ``lexicons/rules``."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Check, Record
from otochron.stages.checks import findings, missing, personal, repairs, sides, sizes, steps, words
from otochron.stages.checks.wording import Wording

_ORDER = {"stop": 0, "look": 1, "info": 2}
_FEW = 5
"""Fewer mentions than this, and no procedure or step: not about an ear operation."""


def find_checks(record: Record, lexicon: Lexicon) -> Record:
    """Add ``checks`` and ``missing``; stops first, then in spoken order.

    Parameters
    ----------
    record : Record
        Complete but for these two fields.
    lexicon : Lexicon
        Entries of kind ``rule`` with role ``check`` (the messages), ``note-item`` (what a note must hold) and
        ``implant-fit``.

    Returns
    -------
    Record
        With one check for each doubt. A recording in which no ear operation was recognised gets that one check
        and nothing missing: there is no note to complete.
    """
    wording = Wording(record, lexicon)
    found: list[Check] = []
    about_ear = bool(record.case.procedures or record.steps or len(record.mentions) >= _FEW)
    if about_ear:
        for part in (sides, sizes, findings, steps, repairs, personal, words):
            found += part.find(record, lexicon, wording)
    else:
        found += [wording.check("no-operation"), *personal.find(record, lexicon, wording)]
    found.sort(key=lambda c: (_ORDER[c.level], c.evidence[0].start_ms if c.evidence else 0, c.code))
    gaps = missing.find(record, lexicon) if about_ear else ()
    return record.evolve(checks=tuple(_once(found)), missing=gaps)


def _once(checks: list[Check]) -> list[Check]:
    """Drop a check that says the same of the same place again."""
    kept: list[Check] = []
    for check in checks:
        if check not in kept:
            kept.append(check)
    return kept
