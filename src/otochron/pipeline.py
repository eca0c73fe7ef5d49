"""The stages, in order. A stage is a pure function ``(Record, Lexicon) -> Record``; it adds, never changes in place.

How to add a stage
------------------
1. Write ``stages/<name>.py`` with one function ``find_…``, ``read_…``, ``link_…`` or ``group_…``.
2. Put its words in ``lexicons/``, never in the code.
3. Add a line to ``STAGES`` below with the fields that it reads and writes; ``tests/test_contract.py`` watches both.
4. Add ``tests/stages/test_<name>.py`` and name the stage in DEVELOPERS.md.

Language and clauses run twice: once on the words as heard, so that repair knows where it is, and once on the
repaired text.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from otochron.collector import give_back
from otochron.corrections import Corrections, apply_checks, apply_facts, apply_repairs
from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.stages.case import link_case
from otochron.stages.checks import find_checks
from otochron.stages.clauses import find_clauses
from otochron.stages.echoes import link_echoes
from otochron.stages.language import find_languages
from otochron.stages.measurements import read_measurements
from otochron.stages.mentions import find_mentions
from otochron.stages.names import find_names
from otochron.stages.references import link_references
from otochron.stages.repair import find_repairs
from otochron.stages.status import read_status
from otochron.stages.steps import group_steps


@dataclass(frozen=True)
class Stage:
    """One stage and what it touches."""

    name: str
    run: Callable[[Record, Lexicon], Record]
    reads: frozenset[str]
    writes: frozenset[str]


def _stage(run: Callable[[Record, Lexicon], Record], reads: str, writes: str) -> Stage:
    return Stage(run.__name__, run, frozenset(reads.split()), frozenset(writes.split()))


STAGES: tuple[Stage, ...] = (
    _stage(find_languages, "lines", "lines languages"),
    _stage(find_clauses, "lines", "clauses"),
    _stage(find_repairs, "lines clauses", "lines repairs unclear clauses"),
    _stage(find_languages, "lines repairs", "lines languages"),
    _stage(find_clauses, "lines repairs", "clauses"),
    _stage(find_mentions, "lines clauses repairs", "mentions"),
    _stage(find_names, "lines repairs mentions", "mentions"),
    _stage(read_measurements, "lines clauses mentions", "measurements"),
    _stage(read_status, "lines clauses mentions measurements", "mentions measurements"),
    _stage(link_references, "lines clauses mentions", "mentions"),
    _stage(link_echoes, "lines clauses mentions measurements", "mentions measurements"),
    _stage(group_steps, "lines clauses mentions measurements", "steps"),
    _stage(link_case, "lines clauses mentions measurements steps", "case steps"),
    _stage(find_checks, "lines clauses repairs mentions measurements steps case", "checks missing"),
)


_LONG = 60_000
"""Characters of a recording, about an hour, after which memory is given back."""
_GREEDY = (find_repairs, group_steps)
"""Stages that leave much of it free."""


def is_long(record: Record) -> bool:
    """Tell whether a recording is so long that its memory matters."""
    return sum(len(line.heard) for line in record.lines) > _LONG


def run(
    record: Record, lexicon: Lexicon, corrections: Corrections | None = None, stages: tuple[Stage, ...] = STAGES
) -> Record:
    """Run the stages in order; the surgeon's word comes between them.

    Repairs are corrected right after they were found, so that every fact follows; facts and steps before the
    checks, so that checks and gaps follow; gaps and checks at the end.
    """
    long = is_long(record)
    for stage in stages:
        if corrections and stage.run is find_checks:
            record = apply_facts(record, corrections, lexicon)
        misfits = record.checks
        record = stage.run(record, lexicon)
        if long and stage.run in _GREEDY:
            give_back()
        if corrections and stage.run is find_repairs:
            record = apply_repairs(record, corrections, lexicon)
        if corrections and stage.run is find_checks:
            record = apply_checks(record.evolve(checks=(*misfits, *record.checks)), corrections, lexicon)
    return record
