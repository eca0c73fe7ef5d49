"""All sizes of the record in one place, a line for each thing that was measured."""

from __future__ import annotations

from otochron.model import Measurement
from otochron.writers.note.document import Line, one_line
from otochron.writers.note.steps import size_of
from otochron.writers.note.teller import Teller

_SHOWN = frozenset({"affirmed", "uncertain"})


def tell_sizes(teller: Teller) -> list[Line]:
    """Tell what was measured: the same value in the same part once, with all its times.

    Doses stand with their drugs; waiting times, and what was only aimed at in words, are left to the record.
    """
    groups: dict[str | None, dict[str, list[Measurement]]] = {}
    for measured in teller.record.measurements:
        if _is_told(teller, measured):
            entry = teller.lexicon.get(measured.of)
            provisional = entry is not None and entry.kind in ("implant", "graft")
            text = size_of(teller, measured, provisional=provisional)
            groups.setdefault(measured.of, {}).setdefault(text, []).append(measured)
    # What belongs to nothing that was named stands last.
    ordered = sorted(groups.items(), key=lambda group: group[0] is None)
    return [
        one_line([teller.timed(text, found) for text, found in told.items()], teller.lead(_name(teller, concept)))
        for concept, told in ordered
    ]


def _name(teller: Teller, concept: str | None) -> str:
    return teller.name(concept) if concept else teller.say("unnamed-thing")


def _is_told(teller: Teller, measured: Measurement) -> bool:
    entry = teller.lexicon.get(measured.of)
    if measured.echo_of or measured.status not in _SHOWN or measured.quantity == "time":
        return False
    return entry is None or entry.kind != "drug"
