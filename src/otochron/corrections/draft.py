"""Draft a corrections file with every open question. Questions stay open (``do = "?"``) until they are answered."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from otochron.corrections.anchors import Shift, occurrences, overlaps
from otochron.corrections.fields import FIELDS, told
from otochron.model import Check, Line, Record, Repair, Span, Step

_SURE = 0.97
"""A repair at least this sure is no open question (as in the checks)."""
_FACT_CHECKS = ("size-", "finding-", "implant-", "side-")
_UNSURE = frozenset({"uncertain"})
HEAD = """\
# Corrections to one recording: the surgeon's word. It outranks what the program understood; what was stays visible
# in the record. Use it with:  otochron extract TRANSCRIPT --corrections THIS_FILE --out FOLDER
#
# Each question below stands open until its  do = "?"  is answered. An open question changes nothing.
# Text stands between double quotes; a line that begins with # is a remark.
#
# [[repair]]  words that were misheard.
#             do = "accept", "refuse", "replace" (text = ...) or "add" (text = ...)
# [[fact]]    a fact of the case, or a size.
#             do = "accept", "refuse", "replace" (now = { ... }) or "add" (now = { ... })
#             field = one of side, procedures, approaches, diagnoses, indications, history, anaesthesia, drugs,
#             findings, implants, grafts, removed, altered, specimens, complications, closure, packing, plan, reasons,
#             cautions, measurements
#             now holds what is to stand: concept, status ("affirmed", "negated", "uncertain", "planned");
#             for findings structure, finding, status ("present", "absent", "uncertain");
#             for measurements value, unit, role; for side value. Concepts by id or by name.
# [[step]]    one step of the operation.
#             do = "accept" (done and finished), "refuse", "replace" or "add", the last two with
#             now = { step = ..., start = "m:ss", end = "m:ss", status = "done" or "planned" or "abandoned" }
# [[missing]] what a note must hold and nobody said.
#             do = "add" (text = ...) or "refuse" (not applicable)
# [[check]]   a warning.
#             do = "accept": looked at and settled (reason = ...)
#
# The place of a thing: line = its line in the record, heard = the words as they were heard there, occurrence = which
# of them, if the line holds them more than once. A place that no longer fits is never applied: it gives a warning.
#
# review = "checked" takes the draft banner off, once no warning of level "stop" is left.
"""


def draft_corrections(record: Record) -> str:
    """Write a corrections file for a record, with every open question.

    Parameters
    ----------
    record : Record
        Complete. One whose personal data is masked has masked words as places, too.

    Returns
    -------
    str
        TOML that :func:`otochron.corrections.read_corrections` reads; as drafted, it changes nothing.
    """
    draft = _Draft(record)
    head = f'recording = {_text(record.recording.sha256)}\nby = ""\nreview = "draft"'
    asked = [*draft.repairs(), *draft.facts(), *draft.steps(), *draft.checks(), *draft.missing()]
    parts = [HEAD.rstrip(), head, *asked]
    return "\n\n".join(parts) + "\n"


class _Draft:
    def __init__(self, record: Record) -> None:
        self.record = record
        self.lines: dict[str, Line] = {line.id: line for line in record.lines}

    def repairs(self) -> Iterator[str]:
        """Ask of each repair that was only suggested or is not nearly sure."""
        for repair in self.record.repairs:
            if not repair.text or repair.continues or repair.decision == "kept":
                continue
            if repair.decision == "applied" and repair.score >= _SURE:
                continue
            yield self._repair(repair)

    def _repair(self, repair: Repair) -> str:
        line = self.lines[repair.line]
        verb = "perhaps" if repair.decision == "suggested" else "now"
        share = repair.heard_start / max(1, len(line.heard))
        time = _clock(round(line.start_ms + share * (line.end_ms - line.start_ms)))
        remark = f"{time}  heard {_text(repair.heard)}, {verb} {_text(repair.text)} ({repair.score:.2f})"
        anchor = self._heard(line, repair.heard_start, repair.heard_end)
        return _block("repair", remark, {**anchor, "do": "?", "text": repair.text})

    def facts(self) -> Iterator[str]:
        """Ask of each fact that is uncertain, or that a check speaks of."""
        doubts = [c for c in self.record.checks if c.level != "info" and c.code.startswith(_FACT_CHECKS)]
        for name, field in FIELDS.items():
            for item in field.get(self.record):
                evidence = _evidence(item)
                if not evidence or getattr(item, "echo_of", None):
                    continue
                if item.status in _UNSURE or self._is_doubted(evidence, doubts):
                    yield self._fact(name, item, evidence)

    def _is_doubted(self, evidence: Sequence[Span], checks: Sequence[Check]) -> bool:
        return any(overlaps(self.record, one, two) for check in checks for two in check.evidence for one in evidence)

    def _fact(self, name: str, item: Any, evidence: Sequence[Span]) -> str:
        values: dict[str, Any] = {"field": name}
        if name == "findings":
            values |= {key: getattr(item, key) for key in ("structure", "finding") if getattr(item, key)}
        elif name == "measurements":
            values |= {"concept": item.of} if item.of else {}
        elif name == "classifications":
            values["system"] = item.system
        elif item.concept:
            values["concept"] = item.concept
        return _block(
            "fact", f"{_clock(evidence[0].start_ms)}  {told(item)}", {**values, **self._anchor(evidence[0]), "do": "?"}
        )

    def steps(self) -> Iterator[str]:
        """Ask of each step that nothing says was finished, and of each that was planned."""
        for step in self.record.steps:
            if step.evidence and (step.completion == "unsaid" if step.status == "done" else step.status == "planned"):
                yield self._step(step)

    def _step(self, step: Step) -> str:
        said = "nothing says that it was finished" if step.status == "done" else step.status
        remark = f"{_clock(step.start_ms)}  {step.step}: {said}"
        return _block("step", remark, {"step": step.step, **self._anchor(step.evidence[0]), "do": "?"})

    def checks(self) -> Iterator[str]:
        """Ask of each check that stops or wants a look."""
        for check in self.record.checks:
            if check.level != "info" and not check.code.startswith("repair-"):
                anchor = self._anchor(check.evidence[0]) if check.evidence else {}
                remark = f"{check.level}: {check.message.en}"
                yield _block("check", remark, {"code": check.code, **anchor, "do": "?", "reason": ""})

    def missing(self) -> Iterator[str]:
        """Ask for what was not said."""
        for missing in self.record.missing:
            yield _block("missing", missing.message.en, {"item": missing.item, "do": "?", "text": ""})

    def _anchor(self, span: Span) -> dict[str, Any]:
        """Give the place of a span by the words that were heard; of one over two lines, its first line."""
        line = self.lines[span.line]
        shift = Shift([r for r in self.record.repairs if r.line == line.id])
        start = shift.to_heard(span.start)
        end = shift.to_heard(span.end, end=True) if span.to_line == span.line else len(line.heard)
        return self._heard(line, start, end)

    def _heard(self, line: Line, start: int, end: int) -> dict[str, Any]:
        while start > 0 and _is_inside(line.heard, start):
            start -= 1
        while end < len(line.heard) and (end <= start or _is_inside(line.heard, end)):
            end += 1
        heard = " ".join(line.heard[start:end].split())
        before = [place for place in occurrences(line.heard, heard) if place[0] < start] if heard else []
        many = {"occurrence": len(before) + 1} if len(occurrences(line.heard, heard)) > 1 else {}
        return {"line": line.id, "heard": heard, **many}


def _is_inside(text: str, place: int) -> bool:
    """Tell whether a place is inside a word."""
    return _is_letter(text[place - 1]) and _is_letter(text[place])


def _is_letter(sign: str) -> bool:
    return sign.isalnum() or sign == "_"


def _evidence(item: Any) -> tuple[Span, ...]:
    return (item.span(),) if isinstance(item, Span) else tuple(item.evidence)


def _block(kind: str, remark: str, values: dict[str, Any]) -> str:
    lines = [f"{key} = {_text(value) if isinstance(value, str) else value}" for key, value in values.items()]
    return "\n".join([f"# {' '.join(remark.split())}", f"[[{kind}]]", *lines])


def _text(text: str) -> str:
    """Write a TOML string: JSON's escapes are TOML's."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _clock(ms: int) -> str:
    seconds = ms // 1000
    hours = f"{seconds // 3600}:{seconds // 60 % 60:02d}" if seconds >= 3600 else str(seconds // 60)
    return f"{hours}:{seconds % 60:02d}"
