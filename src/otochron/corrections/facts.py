"""Apply what the surgeon decides on facts and steps, before the checks, so that checks and gaps follow."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from otochron.corrections.anchors import doubted, find_place, is_other_recording, noted, overlaps, text_span
from otochron.corrections.fields import CONCEPTS, FIELDS, Field, told
from otochron.corrections.names import concept_of
from otochron.corrections.reading import Corrections, Order
from otochron.corrections.timeline import apply_step
from otochron.errors import CorrectionsError
from otochron.lexicon import Lexicon
from otochron.model import Frozen, Plan, Record, Span

_ACCEPTED = {"uncertain": "affirmed", "hypothetical": "affirmed", "planned": "affirmed"}


def apply_facts(record: Record, corrections: Corrections, lexicon: Lexicon) -> Record:
    """Accept, refuse, replace or add facts and steps; what does not fit gives a stop.

    Parameters
    ----------
    record : Record
        With steps and case.
    corrections : Corrections
        The surgeon's file.
    lexicon : Lexicon
        For ids of concepts and messages.
    """
    if is_other_recording(record, corrections):
        for order in corrections.orders[:1]:
            record = doubted(record, order, lexicon)
        return record
    for order in corrections.of_kind("fact", "step"):
        change = apply_step if order.kind == "step" else _apply_fact
        record = change(record, order, corrections, lexicon) or doubted(record, order, lexicon)
    return record


def _apply_fact(record: Record, order: Order, corrections: Corrections, lexicon: Lexicon) -> Record | None:
    name = order.text("field")
    if name == "side":
        return _apply_side(record, order, corrections)
    field = FIELDS.get(name)
    if field is None:
        raise CorrectionsError(order.place, f"field = {name!r}", f"one of side, {', '.join(FIELDS)}", "Choose one.")
    place = find_place(record, order.anchor) if order.anchor else None
    if order.anchor and place is None:
        return None
    span = text_span(record, place) if place else None
    now = _resolved(order, lexicon)
    if order.do == "add":
        new = _built(field, now, [span] if span else [], order)
        items: Sequence[Any] = (*field.get(record), new)
        return noted(field.put(record, tuple(items)), corrections, _target(name, new), None, told(new))
    found = [item for item in field.get(record) if _is_meant(record, item, order, span, lexicon)]
    if len(found) != 1:
        return None
    item = found[0]
    if order.do == "refuse":
        rest = field.strike(field.get(record), item)
        return noted(field.put(record, rest), corrections, _target(name, item), told(item), None)
    new = _accepted(item) if order.do == "accept" else _changed(item, now, order)
    items = tuple(new if other is item else other for other in field.get(record))
    return noted(field.put(record, items), corrections, _target(name, item), told(item), told(new))


def _apply_side(record: Record, order: Order, corrections: Corrections) -> Record | None:
    side = record.case.side
    if order.do == "refuse":
        new = side.evolve(value=None, evidence=())
    elif order.do == "accept":
        new = side
    else:
        new = _changed(side, dict(order.values["now"]), order)
    record = record.evolve(case=record.case.evolve(side=new))
    return noted(record, corrections, "side", side.value, new.value)


def _target(name: str, item: Any) -> str:
    concept = getattr(item, "id", None) or getattr(item, "structure", None) or getattr(item, "concept", None)
    finding = getattr(item, "finding", None)
    return ":".join(part for part in (name, concept, finding) if part)


def _is_meant(record: Record, item: Any, order: Order, span: Span | None, lexicon: Lexicon) -> bool:
    """Tell whether a fact is the one that an order names: its concepts, and its place where one is given."""
    for key in ("concept", "structure", "finding"):
        wanted = order.text(key)
        if wanted and concept_of(lexicon, wanted, order) not in {getattr(item, name, None) for name in CONCEPTS[key]}:
            return False
    if order.text("system") and order.text("system") != getattr(item, "system", None):
        return False
    if span is None:
        return True
    evidence = getattr(item, "evidence", None) or ([item] if isinstance(item, Span) else [])
    return any(overlaps(record, one, span) for one in evidence)


def _resolved(order: Order, lexicon: Lexicon) -> dict[str, Any]:
    now = dict(order.values.get("now", {}))
    for key in ("concept", "structure", "finding", "what", "of", "from", "to"):
        if isinstance(now.get(key), str):
            now[key] = concept_of(lexicon, now[key], order)
    return now


def _accepted(item: Any) -> Any:
    status = item.status
    if isinstance(item, Plan):
        # An instruction is planned by nature.
        return item
    if status == "uncertain" and hasattr(item, "finding"):
        return item.evolve(status="present")
    return item.evolve(status=_ACCEPTED.get(status, status))


def _changed(item: Any, now: Mapping[str, Any], order: Order) -> Any:
    return _checked(lambda: item.evolve(**{_python_name(type(item), key): value for key, value in now.items()}), order)


def _built(field: Field, now: Mapping[str, Any], evidence: Sequence[Span], order: Order) -> Any:
    values: dict[str, Any] = {**field.defaults, **now}
    if field.has_evidence:
        values["evidence"] = tuple(evidence)
    elif evidence:
        values = {**evidence[0].model_dump(), **values}
        values.setdefault("id", f"measurement-{evidence[0].line}-{evidence[0].start}-surgeon")
    else:
        raise CorrectionsError(order.place, "a size without a place", "line and heard", "Say where it was spoken.")
    return _checked(lambda: field.made_of(**values), order)


def _python_name(model: type[Frozen], key: str) -> str:
    return next((name for name, info in model.model_fields.items() if info.alias == key), key)


def _checked(make: Callable[[], Any], order: Order) -> Any:
    try:
        return make()
    except (ValidationError, TypeError) as error:
        what = str(error)
        if isinstance(error, ValidationError):
            first = error.errors()[0]
            what = f"{'.'.join(str(part) for part in first['loc'])}: {first['msg'].lower()}"
        raise CorrectionsError(order.place, what, "values of the record format", "See otochron schema.") from None
