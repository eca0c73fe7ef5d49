"""The facts of a record as short lines, so that a table can say what must and what must not be told."""

from __future__ import annotations

from collections.abc import Iterator

from otochron.model import Implant, Item, Record

_FAMILIES = {
    "procedure": "procedures",
    "approach": "approaches",
    "diagnosis": "diagnoses",
    "indication": "indications",
    "history": "history",
    "anaesthesia": "anaesthesia",
    "drug": "drugs",
    "graft": "grafts",
    "specimen": "specimens",
    "complication": "complications",
    "closure": "closure",
    "packing": "packing",
}


def facts(record: Record) -> list[str]:
    """Give every fact of a record as a line, such as ``finding stapes fixed present``."""
    return list(_facts(record))


def _facts(record: Record) -> Iterator[str]:
    case = record.case
    yield f"side {case.side.value}"
    for name, family in _FAMILIES.items():
        items: tuple[Item, ...] = getattr(case, family)
        yield from (_row(name, item.concept, item.status, item.side) for item in items)
    for name in ("removed", "altered"):
        tissue: tuple[Item, ...] = getattr(case.tissue, name)
        yield from (_row(name, item.concept, item.status, item.side) for item in tissue)
    sizes = {m.id: m.value for m in record.measurements}
    yield from (_implant(implant, sizes) for implant in case.implants)
    yield from (_row("finding", f.structure, f.finding, f.status, f.side) for f in case.findings)
    for plan in case.plan:
        when = plan.when.model_dump(by_alias=True, exclude_none=True)
        yield from (_row("plan", plan.what, word, time) for word, time in when.items())
        if not when:
            yield _row("plan", plan.what, "at no time")
    yield from (_row("step", step.step, step.status) for step in record.steps)
    yield from (_row("check", check.code, check.level) for check in record.checks)


def _implant(implant: Implant, sizes: dict[str, float | None]) -> str:
    length, diameter = (sizes.get(size or "") for size in (implant.length, implant.diameter))
    row = _row("implant", implant.concept, implant.status, implant.side)
    shown = [f"{name} {size:g}" for name, size in (("length", length), ("diameter", diameter)) if size is not None]
    return " ".join([row, *shown, ""])


def _row(*words: str | None) -> str:
    return " ".join(word for word in words if word)
