"""The facts of the case: what a surgeon would answer for."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from otochron.model.base import Frozen, Lang, Ms, Side, Span, Status

Attribute = str | int | float | bool | None


class Item(Frozen):
    """One fact. ``evidence`` is never empty in a record that the program made."""

    concept: str | None
    side: Side | None = None
    status: Status = "affirmed"
    attributes: dict[str, Attribute] = Field(default_factory=dict)
    codes: tuple[str, ...] = ()
    evidence: tuple[Span, ...] = ()
    echo_of: str | None = None


class Seen(Frozen):
    """One state of a finding in the order in which it was spoken."""

    status: Literal["present", "absent", "uncertain"]
    evidence: tuple[Span, ...] = ()


class Finding(Frozen):
    """A structure and what was found there; the last checked state holds."""

    concept: str | None
    side: Side | None = None
    structure: str | None
    finding: str | None
    status: Literal["present", "absent", "uncertain"]
    history: tuple[Seen, ...] = ()
    attributes: dict[str, Attribute] = Field(default_factory=dict)
    codes: tuple[str, ...] = ()
    evidence: tuple[Span, ...] = ()
    echo_of: str | None = None


class Implant(Item):
    """What was put in; ``length`` and ``diameter`` are ids of measurements of role final."""

    materials: dict[str, str] = Field(default_factory=dict)
    length: str | None = None
    diameter: str | None = None


class When(Frozen):
    """ISO 8601 durations; day N counts the operation day as 0 unless said otherwise."""

    after: str | None = None
    for_: str | None = Field(default=None, alias="for")
    until: str | None = None
    every: str | None = None
    low: str | None = None
    high: str | None = None


class Plan(Item):
    """One instruction for afterwards."""

    what: str | None = None
    when: When = When()
    due: str | None = None
    purpose: str | None = None
    text: str | None = None


class Request(Item):
    """Something asked of the staff."""

    what: str | None = None
    start_ms: Ms = 0
    language: Lang = "en"


class Saying(Item):
    """A reason or a caution in the surgeon's own words."""

    text: str = ""
    start_ms: Ms = 0
    language: Lang = "en"
    about: tuple[str, ...] = ()


class Classification(Item):
    """A class that follows from the findings, with its because and its source."""

    system: str = ""
    value: str = ""
    because: tuple[str, ...] = ()
    source: str = ""


class CaseSide(Frozen):
    """The operated side; ``against`` are words that give this ear another side."""

    value: Side | None = None
    evidence: tuple[Span, ...] = ()
    against: tuple[Span, ...] = ()


class Tissue(Frozen):
    """Tissue taken out or changed."""

    removed: tuple[Item, ...] = ()
    altered: tuple[Item, ...] = ()


class Case(Frozen):
    """Everything that was said of this operation, each with its evidence."""

    side: CaseSide = CaseSide()
    procedures: tuple[Item, ...] = ()
    approaches: tuple[Item, ...] = ()
    diagnoses: tuple[Item, ...] = ()
    indications: tuple[Item, ...] = ()
    history: tuple[Item, ...] = ()
    anaesthesia: tuple[Item, ...] = ()
    drugs: tuple[Item, ...] = ()
    findings: tuple[Finding, ...] = ()
    implants: tuple[Implant, ...] = ()
    grafts: tuple[Item, ...] = ()
    tissue: Tissue = Tissue()
    specimens: tuple[Item, ...] = ()
    complications: tuple[Item, ...] = ()
    closure: tuple[Item, ...] = ()
    packing: tuple[Item, ...] = ()
    reasons: tuple[Saying, ...] = ()
    requests: tuple[Request, ...] = ()
    cautions: tuple[Saying, ...] = ()
    plan: tuple[Plan, ...] = ()
    classifications: tuple[Classification, ...] = ()
