"""The sections that list facts of the case by name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from otochron.model import Item, Saying
from otochron.writers.note.document import Line, one_line
from otochron.writers.note.quotes import Quoter
from otochron.writers.note.teller import UNSHOWN, Teller

_TOLD = frozenset({"affirmed", "negated", "uncertain"})
_Fact = TypeVar("_Fact", bound=Item)


def shown(items: Iterable[_Fact]) -> list[_Fact]:
    """Leave out echoes, what was taken back, and what is only habit."""
    return [item for item in items if item.echo_of is None and item.status not in UNSHOWN]


def listed(teller: Teller, items: Sequence[Item], lead: str = "") -> list[Line]:
    """Give one line for all facts of a list, under its lead; none if there are none.

    What was said of this operation stands first, what is planned, supposed or past after it, each marked.
    """
    ordered = sorted(shown(items), key=lambda item: item.status not in _TOLD)
    parts = [teller.item(item) for item in ordered]
    return [one_line(parts, teller.say(f"lead-{lead}") if lead else "")] if parts else []


def _quoted(teller: Teller, sayings: Sequence[Saying], lead: str = "") -> list[Line]:
    """Give a line for each quotation; teaching (status general) is quoted too."""
    quoter = Quoter(teller)
    title = teller.say(f"lead-{lead}") if lead else ""
    kept = [s for s in sayings if s.echo_of is None and s.status != "retracted" and s.text.strip()]
    return [one_line([quoter.saying(saying)], title) for saying in kept]


def tell_operation(teller: Teller) -> list[Line]:
    """Tell what was done, on which ear, by which way."""
    case = teller.record.case
    lines = listed(teller, case.procedures, "procedure")
    if case.side.value:
        side = teller.timed(teller.words.say(f"ear-{case.side.value}"), case.side.evidence)
        lines.append(one_line([side], teller.say("lead-side")))
    return [*lines, *listed(teller, case.approaches, "approach")]


def tell_grounds(teller: Teller) -> list[Line]:
    """Tell diagnosis, indication, history, and the reasons in the surgeon's words."""
    case = teller.record.case
    return [
        *listed(teller, case.diagnoses, "diagnosis"),
        *listed(teller, case.indications, "indication"),
        *listed(teller, case.history, "history"),
        *_quoted(teller, case.reasons, "reason"),
    ]


def tell_anaesthesia(teller: Teller) -> list[Line]:
    """Tell anaesthesia and drugs, with the doses that were said."""
    case = teller.record.case
    return [*listed(teller, case.anaesthesia, "anaesthesia"), *listed(teller, case.drugs, "drug")]


def tell_tissue(teller: Teller) -> list[Line]:
    """Tell what was taken out or changed, and the specimens."""
    case = teller.record.case
    return [
        *listed(teller, case.tissue.removed, "removed"),
        *listed(teller, case.tissue.altered, "altered"),
        *listed(teller, case.specimens, "specimen"),
    ]


def tell_incidents(teller: Teller) -> list[Line]:
    """Tell incidents, said or denied."""
    return listed(teller, teller.record.case.complications)


def tell_closure(teller: Teller) -> list[Line]:
    """Tell closure, then packing and dressing."""
    case = teller.record.case
    return [*listed(teller, case.closure), *listed(teller, case.packing, "packing")]


def tell_cautions(teller: Teller) -> list[Line]:
    """Tell the cautions in the surgeon's own words."""
    return _quoted(teller, teller.record.case.cautions)
