"""Apply what the surgeon decides on steps. Done steps never overlap."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

from otochron.corrections.anchors import find_place, noted, overlaps, text_span
from otochron.corrections.names import concept_of
from otochron.corrections.reading import Corrections, Order
from otochron.errors import CorrectionsError
from otochron.lexicon import Lexicon
from otochron.model import Record, Step

_TIME = re.compile(r"^(?:(\d+):)?(\d{1,2}):([0-5]\d)$")
_KEYS = frozenset({"step", "status", "completion", "start", "end", "side"})


def apply_step(record: Record, order: Order, corrections: Corrections, lexicon: Lexicon) -> Record | None:
    """Accept, refuse, replace or add one step; None if it is not found."""
    now = _values(order, lexicon)
    if order.do == "add":
        new = _added(record, now, order, lexicon)
        return noted(_with(record, None, new, order), corrections, new.id, None, _told(new))
    step = _meant(record, order, lexicon)
    if step is None:
        return None
    if order.do == "refuse":
        rest = tuple(other for other in record.steps if other is not step)
        return noted(record.evolve(steps=rest), corrections, step.id, _told(step), None)
    new = step.evolve(status="done", completion="said") if order.do == "accept" else _replaced(step, now, lexicon)
    return noted(_with(record, step, new, order), corrections, step.id, _told(step), _told(new))


def _meant(record: Record, order: Order, lexicon: Lexicon) -> Step | None:
    wanted = order.text("step")
    alias = lexicon.aliases.get(wanted)
    concept = alias or concept_of(lexicon, wanted, order)
    found = [step for step in record.steps if step.step == concept]
    if order.anchor:
        place = find_place(record, order.anchor)
        if place is None:
            return None
        span = text_span(record, place)
        found = [step for step in found if any(overlaps(record, span, one) for one in (*step.evidence, *step.echoes))]
    return found[0] if len(found) == 1 else None


def _values(order: Order, lexicon: Lexicon) -> dict[str, Any]:
    now = dict(order.values.get("now", {}))
    for key in now:
        if key not in _KEYS:
            raise CorrectionsError(
                order.place, f"unknown key {key!r} in now", f"one of {', '.join(sorted(_KEYS))}", "Choose one."
            )
    for key in ("start", "end"):
        if key in now:
            now[key] = _ms(now[key], order)
    if "step" in now:
        now["step"] = lexicon.aliases.get(now["step"]) or concept_of(lexicon, now["step"], order)
    if now.get("status", "done") not in ("done", "planned", "abandoned"):
        raise CorrectionsError(order.place, f"status = {now['status']!r}", "done, planned or abandoned", "Choose one.")
    return now


def _ms(text: Any, order: Order) -> int:
    match = _TIME.match(str(text))
    if not match:
        raise CorrectionsError(order.place, f"time {text!r}", '"m:ss" or "h:mm:ss"', "Write the time as in the note.")
    return (int(match[1] or 0) * 3600 + int(match[2]) * 60 + int(match[3])) * 1000


def _added(record: Record, now: dict[str, Any], order: Order, lexicon: Lexicon) -> Step:
    for key in ("step", "start", "end"):
        if key not in now:
            raise CorrectionsError(
                order.place, f"now.{key} is not given", "step, start and end", "A new step needs them."
            )
    if now["end"] < now["start"]:
        raise CorrectionsError(order.place, "ends before it starts", "start, then end", "Exchange the times.")
    procedures = Counter(step.procedure for step in record.steps)
    place = find_place(record, order.anchor) if order.anchor else None
    return Step(
        id=f"step-surgeon-{now['start']}",
        step=now["step"],
        phase=lexicon[now["step"]].phase or "",
        procedure=procedures.most_common(1)[0][0] if procedures else "",
        start_ms=now["start"],
        end_ms=now["end"],
        status=now.get("status", "done"),
        completion=now.get("completion", "said"),
        evidence=(text_span(record, place),) if place else (),
        score=1.0,
        side=now.get("side"),
    )


def _replaced(step: Step, now: dict[str, Any], lexicon: Lexicon) -> Step:
    changes = {{"start": "start_ms", "end": "end_ms"}.get(key, key): value for key, value in now.items()}
    if "step" in changes:
        changes["phase"] = lexicon[changes["step"]].phase or step.phase
    return step.evolve(score=1.0, **changes)


def _with(record: Record, old: Step | None, new: Step, order: Order) -> Record:
    """Put a step in; done steps beside it give way."""
    steps = [_beside(step, new, order) for step in record.steps if step is not old]
    steps.append(new)
    return record.evolve(steps=tuple(sorted(steps, key=lambda s: (s.start_ms, s.end_ms, s.id))))


def _told(step: Step) -> str:
    return f"{step.step}, {step.status}, {step.completion}"


def _beside(step: Step, new: Step, order: Order) -> Step:
    """Give a step beside a new one: shorter where they would overlap."""
    if not (step.status == "done" == new.status and step.start_ms < new.end_ms and new.start_ms < step.end_ms):
        return step
    if new.start_ms <= step.start_ms and step.end_ms <= new.end_ms:
        hint = f"Refuse {step.step} first."
        raise CorrectionsError(order.place, f"covers {step.step} wholly", "its own time", hint)
    return step.evolve(end_ms=new.start_ms) if step.start_ms < new.start_ms else step.evolve(start_ms=new.end_ms)
