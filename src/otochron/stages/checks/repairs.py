"""Doubt that hangs on a repair: facts whose words were put right, and repairs that were only suggested."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from otochron.lexicon import Lexicon
from otochron.model import Check, Record, Repair, Span
from otochron.stages.checks.wording import Wording

_SURE = 0.97
_ASKED = 0.4
"""Weaker suggestions stay in the record and on the page: of those a surgeon would mostly say that they are wrong."""
_CLAUSE_MS = 1_500


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Look at repairs on which a fact hangs, if they are less than nearly sure; and at suggestions.

    The same words put right in the same manner several times give one check with all their places.
    """
    del lexicon
    facts: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for span in _facts(record):
        if span.line == span.to_line:
            facts[span.line].append((span.start, span.end))
        else:
            facts[span.line].append((span.start, 1 << 30))
            facts[span.to_line].append((0, span.end))
    grouped: dict[tuple[str, str, str], list[Repair]] = defaultdict(list)
    for repair in record.repairs:
        if not repair.text:
            continue
        if repair.decision == "suggested" and repair.score >= _ASKED:
            grouped["repair-suggested", repair.heard, repair.text].append(repair)
        elif repair.decision == "applied" and repair.score < _SURE and _hangs(repair, facts):
            grouped["repair-fact", repair.heard, repair.text].append(repair)
    return [
        wording.check(
            code,
            [_span(record, r) for r in repairs],
            heard=heard,
            text=text,
            score=f"{min(r.score for r in repairs):.2f}",
        )
        for (code, heard, text), repairs in grouped.items()
    ]


def _hangs(repair: Repair, facts: dict[str, list[tuple[int, int]]]) -> bool:
    return any(start < repair.text_end and repair.text_start < end for start, end in facts.get(repair.line, ()))


def _facts(record: Record) -> Iterator[Span]:
    case = record.case
    yield from case.side.evidence
    groups = (
        case.procedures,
        case.findings,
        case.implants,
        case.grafts,
        case.tissue.removed,
        case.tissue.altered,
    )
    for group in (*groups, case.complications, case.plan, case.specimens, case.diagnoses):
        for item in group:
            yield from item.evidence
    yield from (m.span() for m in record.measurements if m.role in {"final", "measured"})


def _span(record: Record, repair: Repair) -> Span:
    line = next(line for line in record.lines if line.id == repair.line)
    share = (line.end_ms - line.start_ms) / max(1, len(line.text))
    start, end = repair.text_start, max(repair.text_start, repair.text_end)
    return Span(
        line=line.id,
        start=start,
        to_line=line.id,
        end=end,
        start_ms=round(line.start_ms + start * share),
        end_ms=round(line.start_ms + end * share),
    )
