"""From one record to its rows. What each column means stands in ``lexicons/rules/codebook.toml``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from otochron.lexicon import Lexicon
from otochron.model import Finding, Item, Record
from otochron.text.stream import heard_words

Row = dict[str, Any]
TABLES = ("recordings", "steps", "mentions", "measurements", "repairs", "findings", "plan")
NOT_MENTIONED = "NM"
NONE = "NONE"
UNCERTAIN = "UNC"
NOT_APPLICABLE = "NA"
SIGNS = {"present": "", "absent": "not:", "uncertain": "unc:"}
"""What stands before a finding; no sign that a spreadsheet would take for a formula."""


def record_rows(record: Record, lexicon: Lexicon, path: str = "") -> dict[str, list[Row]]:
    """Give the rows of every table for one record.

    Parameters
    ----------
    record : Record
        A record.
    lexicon : Lexicon
        Its ``variable`` rules tell which structures have a column of their own.
    path : str
        Where the transcript lay below the folder that was read.

    Returns
    -------
    dict
        Rows by table; a value is a string, a number, or one of the codes ``NM``, ``NONE``, ``UNC``, ``NA``.
    """
    # A letter first: sixteen digits, or digits and one e, would be a number to a spreadsheet.
    key = f"r{record.recording.sha256[:16]}"
    return {
        "recordings": [{"recording_id": key, **_recording(record, lexicon, path)}],
        "steps": [{"recording_id": key, **row} for row in _steps(record)],
        "mentions": [{"recording_id": key, **row} for row in _mentions(record)],
        "measurements": [{"recording_id": key, **row} for row in _measurements(record)],
        "repairs": [{"recording_id": key, **row} for row in _repairs(record)],
        "findings": [{"recording_id": key, **row} for row in _findings(record)],
        "plan": [{"recording_id": key, **row} for row in _plan(record)],
    }


def _seconds(ms: int) -> float:
    return round(ms / 1000, 3)


def _or(value: Any, code: str) -> Any:
    return code if value is None or value == "" else value


def _bar(concepts: Iterable[str | None], otherwise: str = NOT_MENTIONED) -> str:
    return "|".join(dict.fromkeys(c for c in concepts if c)) or otherwise


def _said(items: Sequence[Item]) -> list[str | None]:
    return [item.concept for item in items if item.status == "affirmed" and item.echo_of is None]


def _coded(items: Sequence[Item]) -> str:
    """Give what was said to be so; else whether it was doubted, denied, or not mentioned."""
    statuses = {item.status for item in items}
    unless = UNCERTAIN if "uncertain" in statuses else NONE if "negated" in statuses else NOT_MENTIONED
    return _bar(_said(items), unless)


def _recording(record: Record, lexicon: Lexicon, path: str) -> Row:
    case, info = record.case, record.recording
    heard = len(heard_words(record))
    applied = sum(r.decision == "applied" and bool(r.text) for r in record.repairs)
    done = _said(case.procedures)
    row: Row = {
        "name": info.name,
        "path": path,
        "made_by": record.made_by.otochron,
        "review": record.review,
        "duration_s": _seconds(info.duration_ms),
        "continuous": {True: "yes", False: "no", None: NOT_MENTIONED}[info.continuous],
        "time_basis": info.time_basis,
        "side": _or(case.side.value, UNCERTAIN if case.side.against else NOT_MENTIONED),
        "procedures": _coded(case.procedures),
        "main_procedure": _or(next((c for c in done if c and c in lexicon and lexicon[c].order), None), NOT_MENTIONED),
        "approaches": _coded(case.approaches),
        "anaesthesia": _coded(case.anaesthesia),
        "diagnoses": _coded(case.diagnoses),
        "austin_kartush": _group(record),
        "implant_kinds": _coded(case.implants),
        "implant_length_mm": _size(record, "length"),
        "implant_diameter_mm": _size(record, "diameter"),
        "grafts": _coded(case.grafts),
        "complications": _coded(case.complications),
        "english_share": record.languages.en,
        "french_share": record.languages.fr,
        "switches": record.languages.switches,
        "code_mixing_index": record.languages.code_mixing_index,
        "words": heard,
        "repairs_applied": applied,
        "repairs_suggested": sum(r.decision == "suggested" and bool(r.text) for r in record.repairs),
        "repairs_per_1000_words": round(1000 * applied / heard, 3) if heard else 0.0,
        "steps_done": sum(s.status == "done" for s in record.steps),
        "checks_stop": sum(c.level == "stop" for c in record.checks),
        "checks_look": sum(c.level == "look" for c in record.checks),
        "missing_items": len(record.missing),
        "check_codes": _bar((c.code for c in record.checks), NOT_APPLICABLE),
        "copy_of": NOT_APPLICABLE,
    }
    for entry in lexicon.of_kind("rule"):
        if entry.role == "variable" and entry.scope == "recordings":
            if entry.of:
                row[str(entry.values["column"])] = _state(case.findings, set(entry.of))
            if phase := entry.values.get("phase"):
                row[str(entry.values["column"])] = _time(record, str(phase))
    return row


def _time(record: Record, phase: str) -> Any:
    """Give the seconds of the steps done in a phase; a recording with cuts has no durations."""
    if not record.recording.continuous:
        return NOT_APPLICABLE
    spent = [s.end_ms - s.start_ms for s in record.steps if s.phase == phase and s.status == "done"]
    return _seconds(sum(spent)) if spent else NOT_MENTIONED


def _state(findings: Sequence[Finding], structures: set[str]) -> str:
    found = [
        SIGNS[f.status] + (f.finding or NOT_MENTIONED)
        for f in findings
        if f.structure in structures and f.echo_of is None
    ]
    return "|".join(dict.fromkeys(found)) or NOT_MENTIONED


def _group(record: Record) -> str:
    groups = [c for c in record.case.classifications if c.system.casefold().startswith("austin")]
    sure = {c.value for c in groups if c.status == "affirmed"}
    if len(sure) == 1:
        return sure.pop()
    return UNCERTAIN if sure or any(c.status == "uncertain" for c in groups) else NOT_MENTIONED


def _size(record: Record, which: str) -> Any:
    implants = [i for i in record.case.implants if i.status == "affirmed"]
    if not implants:
        return NOT_APPLICABLE
    sizes = {m.id: m for m in record.measurements}
    for implant in implants:
        size = sizes.get(getattr(implant, which) or "")
        if size is not None:
            return UNCERTAIN if size.value is None or size.status == "uncertain" else size.value
    return NOT_MENTIONED


def _steps(record: Record) -> Iterable[Row]:
    for n, step in enumerate(record.steps, start=1):
        timed = record.recording.continuous and step.status == "done"
        yield {
            "step_id": step.id,
            "order": n,
            "step": step.step,
            "phase": step.phase,
            "procedure": step.procedure,
            "side": _or(step.side, NOT_APPLICABLE),
            "status": step.status,
            "completion": step.completion,
            "start_s": _seconds(step.start_ms),
            "end_s": _seconds(step.end_ms),
            "duration_s": _seconds(step.end_ms - step.start_ms) if timed else NOT_APPLICABLE,
            "revisit_of": _or(step.revisit_of, NOT_APPLICABLE),
            "structures": _bar(step.structures, NOT_APPLICABLE),
            "instruments": _bar(step.instruments, NOT_APPLICABLE),
            "measurement_ids": _bar(step.measurements, NOT_APPLICABLE),
            "score": step.score,
        }


def _mentions(record: Record) -> Iterable[Row]:
    for mention in record.mentions:
        yield {
            "mention_id": mention.id,
            "concept": _or(mention.concept, NOT_MENTIONED),
            "kind": mention.kind,
            "surface": mention.surface,
            "language": mention.language,
            "status": mention.status,
            "start_s": _seconds(mention.start_ms),
            "repaired": "yes" if mention.repair else "no",
            "repair_id": _or(mention.repair, NOT_APPLICABLE),
            "refers_to": _or(mention.refers_to, NOT_APPLICABLE),
            "echo_of": _or(mention.echo_of, NOT_APPLICABLE),
        }


def _measurements(record: Record) -> Iterable[Row]:
    for m in record.measurements:
        yield {
            "measurement_id": m.id,
            "quantity": m.quantity,
            "value": _or(m.value, UNCERTAIN),
            "low": _or(m.low, NOT_APPLICABLE),
            "high": _or(m.high, NOT_APPLICABLE),
            "unit": m.unit,
            "of": _or(m.of, NOT_MENTIONED),
            "dimension": _or(m.dimension, NOT_MENTIONED),
            "role": _or(m.role, NOT_APPLICABLE),
            "status": m.status,
            "plausible": {True: "yes", False: "no", None: NOT_APPLICABLE}[m.plausible],
            "echo_of": _or(m.echo_of, NOT_APPLICABLE),
            "surface": m.surface,
            "start_s": _seconds(m.start_ms),
        }


def _repairs(record: Record) -> Iterable[Row]:
    for repair in record.repairs:
        if repair.text:
            yield {
                "repair_id": repair.id,
                "heard": repair.heard,
                "text": repair.text,
                "concept": _or(repair.concept, NOT_APPLICABLE),
                "language": repair.language,
                "score": repair.score,
                "decision": repair.decision,
            }


def _findings(record: Record) -> Iterable[Row]:
    for n, finding in enumerate(record.case.findings, start=1):
        yield {
            "order": n,
            "structure": _or(finding.structure, NOT_MENTIONED),
            "finding": _or(finding.finding, NOT_MENTIONED),
            "side": _or(finding.side, NOT_APPLICABLE),
            "status": finding.status,
            "times_said": max(1, len(finding.history)),
            "start_s": _seconds(finding.evidence[0].start_ms) if finding.evidence else 0.0,
        }


def _plan(record: Record) -> Iterable[Row]:
    for n, plan in enumerate(record.case.plan, start=1):
        when = plan.when.model_dump(by_alias=True)
        yield {
            "order": n,
            "what": _or(plan.what or plan.concept, NOT_MENTIONED),
            "status": plan.status,
            **{name: _or(when[name], NOT_MENTIONED) for name in ("after", "for", "until", "every", "low", "high")},
            "due": _or(plan.due, NOT_APPLICABLE),
            "text": plan.text or "",
        }
