"""What an entry of a word list may hold. The format for editors is told in ``lexicons/README.md``."""

from __future__ import annotations

from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict, Field

from otochron.model import Lang

Kind = Literal[
    "structure",
    "landmark",
    "instrument",
    "implant",
    "material",
    "graft",
    "finding",
    "disease",
    "procedure",
    "approach",
    "action",
    "drug",
    "anaesthesia",
    "complication",
    "closure",
    "packing",
    "test",
    "position",
    "specimen",
    "side",
    "phase",
    "step",
    "cue",
    "dimension",
    "protected",
    "rule",
]
KINDS: tuple[str, ...] = get_args(Kind)
SPOKEN_KINDS = frozenset(KINDS) - {"phase", "step", "cue", "dimension", "protected", "rule"}
"""Kinds whose forms are mentions when they are spoken."""
RELATIONS = (
    "part_of",
    "adjacent_to",
    "done_with",
    "next",
    "broader",
    "shared_with",
    "actions",
    "targets",
    "instruments",
    "finished_by",
    "produces",
    "removes",
    "order",
    "signature",
    "needs",
    "repeatable",
    "optional",
    "reports",
    "of",
    "from_",
    "to",
)

Words = tuple[str, ...]


class Tongue(BaseModel):
    """The forms of a concept in one language."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    forms: Words = ()
    not_in: Words = ()
    yes: Words = ()
    no: Words = ()
    none: str | None = None
    gender: Literal["m", "f", "mp", "fp"] | None = None
    label: str | None = None
    past: str | None = None
    planned: str | None = None
    title: str | None = None
    phrases: Words = ()
    done_phrases: Words = ()
    text: str | None = None


class Entry(BaseModel):
    """One concept."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    id: str
    file: str
    kind: Kind
    source: str = ""
    note: str = ""
    latin: str | Words = ()
    codes: dict[str, str | Words] = Field(default_factory=dict)
    part_of: Words = ()
    adjacent_to: Words = ()
    done_with: Words = ()
    next: Words = ()
    broader: Words = ()
    shared_with: Words = ()
    # steps, phases, procedures
    alias: str | None = None
    phase: str | None = None
    actions: Words = ()
    targets: Words = ()
    instruments: Words = ()
    finished_by: Words = ()
    produces: Words = ()
    removes: Words = ()
    duration_s: tuple[float, float] | None = None
    order: Words = ()
    signature: Words = ()
    needs: Words = ()
    repeatable: Words = ()
    optional: Words = ()
    swaps: tuple[tuple[str, str], ...] = ()
    reports: Words = ()
    # cues, dimensions, rules
    role: str | None = None
    scope: str | None = None
    of: Words = ()
    from_: Words = Field(default=(), alias="from")
    to: Words = ()
    dimension: str | None = None
    quantity: str | None = None
    unit: str | None = None
    typical: tuple[float, float] | None = None
    possible: tuple[float, float] | None = None
    values: dict[str, str | float | int | bool | Words] = Field(default_factory=dict)
    en: Tongue = Tongue()
    fr: Tongue = Tongue()

    def tongue(self, lang: Lang) -> Tongue:
        """Give the forms of one language."""
        return self.fr if lang == "fr" else self.en

    def latin_forms(self) -> Words:
        """Give the Latin names."""
        return (self.latin,) if isinstance(self.latin, str) else self.latin

    def label(self, lang: Lang) -> str:
        """Give the name to show: the label, else the first form, else the other language's, else the id."""
        for tongue in (self.tongue(lang), self.en, self.fr):
            if tongue.label or tongue.forms:
                return tongue.label or tongue.forms[0]
        return self.id.replace("-", " ")

    def code_list(self) -> Words:
        """Give the codes as ``system:code``."""
        found: list[str] = []
        for system, value in sorted(self.codes.items()):
            codes = (value,) if isinstance(value, str) else value
            found += [code if ":" in code else f"{system.upper()}:{code}" for code in codes]
        return tuple(found)
