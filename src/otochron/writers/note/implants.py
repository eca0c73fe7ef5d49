"""Implants and grafts: what was put in, of what, how long, and how the size came about."""

from __future__ import annotations

from otochron.model import Implant, Measurement
from otochron.writers.note.document import Line, Run, one_line, plain
from otochron.writers.note.facts import shown
from otochron.writers.note.teller import Teller, upper
from otochron.writers.wording import clock, size


def implants(teller: Teller) -> list[Line]:
    """Give a line for each implant, then each graft."""
    lines = [one_line(_implant(teller, implant)) for implant in shown(teller.record.case.implants)]
    grafts = [one_line([teller.item(item)], teller.say("lead-graft")) for item in shown(teller.record.case.grafts)]
    return [*lines, *grafts]


def _implant(teller: Teller, implant: Implant) -> list[tuple[Run, ...]]:
    words, grammar = teller.words, teller.words.grammar
    parts = [_made_of(teller, part, material) for part, material in sorted(implant.materials.items())]
    extra = f" ({', '.join(parts)})" if parts else ""
    for kind, name in (("length", implant.length), ("diameter", implant.diameter)):
        measured = teller.sizes.get(name or "")
        if measured is not None:
            extra += ", " + words.say("sized", dimension=words.say(f"dimension-{kind}"), size=size(measured, teller.lang))
    text = teller.stated(implant.concept, implant.status, extra=extra + teller.detail(implant))
    found = [teller.sentence(grammar.tidy(text), implant.evidence)]
    history = _came_about(teller, implant)
    if len(history) > 1:
        told = "; ".join(f"{_role(teller, m)} ({clock(m.start_ms)})" for m in history)
        lead = words.say("came-about", dimension=words.say("dimension-length"))
        found.append(plain(" " + upper(grammar.tidy(words.say("lead", what=lead))) + " " + grammar.tidy(told) + "."))
    return found


def _made_of(teller: Teller, part: str, material: str) -> str:
    part_name = teller.words.name(part) if part in teller.lexicon else part
    if part in ("whole", "all", ""):
        return teller.words.name(material)
    return teller.words.say("made-of", part=part_name, material=teller.words.name(material))


def _came_about(teller: Teller, implant: Implant) -> list[Measurement]:
    """Give the sizes that led to the final length, in spoken order, each value of a role once."""
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
        open_ids += [*(measured.sum_of or ()), *([measured.corrects] if measured.corrects else [])]
    for other in teller.record.measurements:
        same = other.of == final.of and other.unit == final.unit and other.dimension == final.dimension
        if same and other.role and other.start_ms <= final.end_ms:
            wanted.add(other.id)
    known: dict[tuple[object, ...], Measurement] = {}
    for measured in teller.record.measurements:
        if measured.id in wanted and measured.echo_of is None and measured.status in ("affirmed", "uncertain", "planned"):
            known.setdefault((measured.role, measured.value, measured.low, measured.high), measured)
    return sorted(known.values(), key=lambda m: (m.start_ms, m.id))


def _role(teller: Teller, measured: Measurement) -> str:
    amount = size(measured, teller.lang)
    if measured.approximate:
        amount = teller.words.say("about", size=amount)
    return teller.words.say(f"role-{measured.role}", size=amount) if measured.role else amount
