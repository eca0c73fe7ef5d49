"""Implants and grafts: what was put in, of what, how large, and how the size came about."""

from __future__ import annotations

from otochron.model import Implant, Measurement
from otochron.writers.note.document import Line, Part, one_line, plain
from otochron.writers.note.facts import listed, shown
from otochron.writers.note.steps import size_of
from otochron.writers.note.teller import Teller
from otochron.writers.wording import clock, size

_WHOLE = frozenset({"body", "whole", ""})


def tell_implants(teller: Teller) -> list[Line]:
    """Tell each implant on a line of its own, then the grafts."""
    lines = [_implant(teller, implant) for implant in shown(teller.record.case.implants)]
    return [*lines, *listed(teller, teller.record.case.grafts, "graft")]


def _implant(teller: Teller, implant: Implant) -> Line:
    words = teller.words
    made = [_made_of(teller, part, material) for part, material in sorted(implant.materials.items())]
    extra = f" ({', '.join(made)})" if made else ""
    for kind, name in (("length", implant.length), ("diameter", implant.diameter)):
        measured = teller.sizes.get(name or "")
        if measured is not None:
            dimension = words.say(f"dimension-{kind}")
            extra += ", " + words.say("sized", dimension=dimension, size=size(measured, teller.lang))
    text = teller.stated(implant.concept, implant.status, extra + teller.detail(implant))
    parts = [teller.timed(text, implant.evidence)]
    history = _came_about(teller, implant)
    if len(history) > 1:
        parts.append(_history(teller, history))
    return one_line(parts, joint=". ")


def _made_of(teller: Teller, part: str, material: str) -> str:
    if part in _WHOLE:
        return teller.words.name(material)
    return teller.words.say("made-of", part=teller.value(part), material=teller.words.name(material))


def _history(teller: Teller, history: list[Measurement]) -> Part:
    told = "; ".join(f"{size_of(teller, m, provisional=True)} ({clock(m.start_ms)})" for m in history)
    return plain(f"{teller.lead(teller.words.say('came-about'))} {teller.grammar.tidy(told)}")


def _came_about(teller: Teller, implant: Implant) -> list[Measurement]:
    """Give the sizes that led to the final length, in spoken order, each value of a part it plays once.

    They are those that the final size is the sum of, corrects or says again, and so on, and those said of the same
    thing and dimension with a part to play.
    """
    final = teller.sizes.get(implant.length or "")
    if final is None:
        return []
    wanted: set[str] = set()
    open_ids = [final.id]
    while open_ids:
        measured = teller.sizes.get(open_ids.pop())
        if measured is None or measured.id in wanted:
            continue
        wanted.add(measured.id)
        open_ids += [*(measured.sum_of or ()), *filter(None, (measured.corrects, measured.echo_of))]
    for other in teller.record.measurements:
        same = other.of == final.of and other.unit == final.unit and other.dimension == final.dimension
        if same and other.role and other.start_ms <= final.end_ms:
            wanted.add(other.id)
    known: dict[tuple[object, ...], Measurement] = {}
    for measured in teller.record.measurements:
        told = measured.echo_of is None and measured.status in ("affirmed", "uncertain", "planned")
        if measured.id in wanted and told:
            known.setdefault((measured.role, measured.value, measured.low, measured.high), measured)
    return sorted(known.values(), key=lambda m: (m.start_ms, m.id))
