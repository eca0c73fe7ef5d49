"""The fields of a record that a correction may touch, and how to name what stands in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from otochron.model import (
    Case,
    Classification,
    Finding,
    Frozen,
    Implant,
    Item,
    Measurement,
    Plan,
    Record,
    Request,
    Saying,
)

CONCEPTS: Mapping[str, tuple[str, ...]] = {
    "concept": ("concept", "of", "what", "structure", "finding"),
    "structure": ("structure",),
    "finding": ("finding",),
}
"""Which keys of a fact answer to which key of an order."""
_TOLD = ("structure", "concept", "finding", "what", "of", "value", "unit", "role", "side", "status")


@dataclass(frozen=True)
class Field:
    """One list of facts."""

    path: tuple[str, ...]
    made_of: type[Frozen]
    defaults: Mapping[str, Any] = field(default_factory=dict)
    has_evidence: bool = True

    def get(self, record: Record) -> tuple[Any, ...]:
        """Give the facts."""
        value: Any = record
        for part in self.path:
            value = getattr(value, part)
        return tuple(value)

    def put(self, record: Record, items: tuple[Any, ...]) -> Record:
        """Give the record with other facts in this field."""
        if len(self.path) == 1:
            return record.evolve(**{self.path[0]: items})
        case: Case = record.case
        if len(self.path) == 2:
            return record.evolve(case=case.evolve(**{self.path[1]: items}))
        return record.evolve(case=case.evolve(tissue=case.tissue.evolve(**{self.path[2]: items})))

    def strike(self, items: Sequence[Any], item: Any) -> tuple[Any, ...]:
        """Take a fact out; a size stays, taken back, because others may name its id."""
        if isinstance(item, Measurement):
            return tuple(other.evolve(status="retracted") if other is item else other for other in items)
        return tuple(other for other in items if other is not item)


def _case(name: str, made_of: type[Frozen] = Item, **defaults: Any) -> Field:
    return Field(("case", name), made_of, {"concept": None, **defaults})


FIELDS: Mapping[str, Field] = {
    **{
        name: _case(name)
        for name in (
            "procedures",
            "approaches",
            "diagnoses",
            "indications",
            "history",
            "anaesthesia",
            "drugs",
            "grafts",
            "specimens",
            "complications",
            "closure",
            "packing",
        )
    },
    "removed": Field(("case", "tissue", "removed"), Item, {"concept": None}),
    "altered": Field(("case", "tissue", "altered"), Item, {"concept": None}),
    "findings": _case("findings", Finding, structure=None, finding=None, status="present"),
    "implants": _case("implants", Implant),
    "plan": _case("plan", Plan, status="planned"),
    "reasons": _case("reasons", Saying),
    "cautions": _case("cautions", Saying),
    "requests": _case("requests", Request),
    "classifications": _case("classifications", Classification),
    "measurements": Field(
        ("measurements",),
        Measurement,
        {"quantity": "size", "value": None, "unit": "mm", "surface": ""},
        has_evidence=False,
    ),
}


def told(item: Any) -> str:
    """Tell a fact in one line of ids and values, for ``was`` and ``now``."""
    parts: list[str] = []
    for name in _TOLD:
        value = getattr(item, name, None)
        if value not in (None, "") and str(value) not in parts:
            parts.append(str(value))
    if isinstance(item, Implant):
        parts += [f"{part} {material}" for part, material in sorted(item.materials.items())]
    text = getattr(item, "text", None)
    return ", ".join([*parts, *([f"“{text}”"] if text else [])])
