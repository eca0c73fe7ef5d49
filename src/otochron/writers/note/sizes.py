"""All sizes of the record in one place, a line for each thing that was measured."""

from __future__ import annotations

from otochron.model import Measurement
from otochron.writers.note.document import Line, Run, one_line, plain
from otochron.writers.note.teller import Teller, upper
from otochron.writers.wording import clock, size

_UNSHOWN = frozenset({"time"})
_SHOWN_STATES = frozenset({"affirmed", "uncertain", "negated", "planned"})


def sizes(teller: Teller) -> list[Line]:
    """Give what was measured; doses stand with their drugs, waiting times are left to the record."""
    groups: dict[str | None, list[tuple[Run, ...]]] = {}
    for measured in teller.record.measurements:
        if measured.of is None or measured.echo_of or measured.quantity in _UNSHOWN or measured.status not in _SHOWN_STATES:
            continue
        part = plain(f"{teller.words.grammar.tidy(_told(teller, measured))} ({clock(measured.start_ms)}).")
        groups.setdefault(measured.of, []).append(part)
    return [
        one_line(parts, teller.words.grammar.tidy(teller.words.say("lead", what=upper(teller.name(concept)))))
        for concept, parts in groups.items()
    ]


def _told(teller: Teller, measured: Measurement) -> str:
    words = teller.words
    amount = size(measured, teller.lang)
    if measured.approximate:
        amount = words.say("about", size=amount)
    if measured.role:
        amount = words.say(f"role-{measured.role}", size=amount)
    if measured.dimension and words.has(f"dimension-{measured.dimension}"):
        amount = words.say("sized", dimension=words.say(f"dimension-{measured.dimension}"), size=amount)
    if measured.status != "affirmed":
        amount = words.say("marked", what=amount, mark=words.say(f"status-{measured.status}"))
    return amount
