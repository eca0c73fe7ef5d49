"""Apply what the surgeon decides on repairs, right after they were found, so that every fact follows."""

from __future__ import annotations

from collections.abc import Sequence

from otochron.corrections.anchors import Place, Shift, doubted, find_place, is_other_recording, noted
from otochron.corrections.names import concept_of
from otochron.corrections.reading import Corrections, Order
from otochron.lexicon import Lexicon
from otochron.model import Lang, LanguageSpan, Line, Reason, Record, Repair, Span, Unclear

_BY_SURGEON = Reason(name="surgeon", value=1.0)


def apply_repairs(record: Record, corrections: Corrections, lexicon: Lexicon) -> Record:
    """Accept, refuse, replace or add repairs; an order whose place does not fit gives a stop.

    Parameters
    ----------
    record : Record
        As the repair stage leaves it.
    corrections : Corrections
        The surgeon's file.
    lexicon : Lexicon
        For the ids of concepts and the message of a misfit.

    Returns
    -------
    Record
        With the text of the lines made anew from what was heard and the repairs that now hold.
    """
    if is_other_recording(record, corrections):
        return record
    for order in corrections.of_kind("repair"):
        place = find_place(record, order.anchor) if order.anchor else None
        changed = _apply(record, order, place, corrections, lexicon) if place else None
        record = changed or doubted(record, order, lexicon)
    return record


def _apply(record: Record, order: Order, place: Place, corrections: Corrections, lexicon: Lexicon) -> Record | None:
    here = [r for r in record.repairs if r.line == place.line.id and not r.continues]
    same = [r for r in here if (r.heard_start, r.heard_end) == (place.start, place.end)]
    near = [r for r in here if r.heard_start < place.end and place.start < r.heard_end]
    found = next(iter((*same, *near)), None)
    if order.do == "add" and not any(r.decision == "applied" for r in near):
        new = _added(order, place, lexicon)
        kept = tuple(r for r in record.repairs if r is not found)
        return noted(_made(record, (*kept, new), {place.line.id}), corrections, new.id, new.heard, new.text)
    if found is None or order.do == "add":
        return None
    was = f"{found.decision}: {found.text}"
    if order.do == "accept":
        now = found.evolve(decision="applied", score=1.0, reasons=(*found.reasons, _BY_SURGEON))
    elif order.do == "refuse":
        now = found.evolve(decision="kept", score=0.0, reasons=(*found.reasons, _BY_SURGEON))
    else:
        concept = concept_of(lexicon, order.text("concept"), order) if order.text("concept") else None
        reasons = (*found.reasons, _BY_SURGEON)
        text = order.text("text")
        now = found.evolve(text=text, concept=concept, decision="applied", score=1.0, reasons=reasons)
    parts = {found.id: now}
    for part in record.repairs:
        if part.continues == found.id:
            parts[part.id] = part.evolve(decision=now.decision, score=now.score)
    repairs = tuple(parts.get(r.id, r) for r in record.repairs)
    lines = {part.line for part in parts.values()}
    told = f"{now.decision}: {now.text}" if now.decision == "applied" else f"{now.decision}: {now.heard}"
    return noted(_made(record, repairs, lines), corrections, found.id, was, told)


def _added(order: Order, place: Place, lexicon: Lexicon) -> Repair:
    line = place.line
    tongues: list[Lang] = [s.language for s in line.languages if s.start <= place.start < s.end]
    language = order.text("language") or (tongues[0] if tongues else "en")
    return Repair(
        id=f"repair-{line.id}-{place.start}",
        line=line.id,
        heard_start=place.start,
        heard_end=place.end,
        heard=line.heard[place.start : place.end],
        text_start=place.start,
        text_end=place.end,
        text=order.text("text"),
        concept=concept_of(lexicon, order.text("concept"), order) if order.text("concept") else None,
        language="fr" if language == "fr" else "en",
        score=1.0,
        decision="applied",
        reasons=(_BY_SURGEON,),
    )


def _made(record: Record, repairs: Sequence[Repair], changed: set[str]) -> Record:
    """Make the text of some lines anew; offsets of repairs, languages and unclear stretches follow."""
    before = {name: Shift([r for r in record.repairs if r.line == name]) for name in changed}
    new_repairs: dict[str, Repair] = {}
    after: dict[str, Shift] = {}
    lines: list[Line] = []
    for line in record.lines:
        if line.id not in changed:
            lines.append(line)
            continue
        mine = sorted((r for r in repairs if r.line == line.id), key=lambda r: (r.heard_start, r.id))
        text, placed = _text_of(line, mine)
        new_repairs |= {r.id: r for r in placed}
        after[line.id] = Shift(placed)
        shift = _Move(before[line.id], after[line.id])
        tongues = [
            LanguageSpan(start=shift(s.start), end=shift(s.end, end=True), language=s.language) for s in line.languages
        ]
        lines.append(line.evolve(text=text, languages=tuple(s for s in tongues if s.start < s.end <= len(text))))
    unclear = tuple(
        Unclear(span=_moved(u.span, before, after), reason=u.reason) if {u.span.line, u.span.to_line} & changed else u
        for u in record.unclear
    )
    order = {line.id: n for n, line in enumerate(record.lines)}
    listed = sorted((new_repairs.get(r.id, r) for r in repairs), key=lambda r: (order[r.line], r.heard_start, r.id))
    return record.evolve(lines=tuple(lines), repairs=tuple(listed), unclear=unclear)


def _text_of(line: Line, repairs: Sequence[Repair]) -> tuple[str, list[Repair]]:
    """Give the text of a line and its repairs with their places in it."""
    applied = [r for r in repairs if r.decision == "applied"]
    text, place = "", 0
    placed: list[Repair] = []
    for repair in applied:
        text += line.heard[place : repair.heard_start]
        start = len(text)
        text += repair.text
        placed.append(repair.evolve(text_start=start, text_end=len(text)))
        place = repair.heard_end
    text += line.heard[place:]
    shift = Shift(placed)
    rest = [
        r.evolve(text_start=shift.to_text(r.heard_start), text_end=shift.to_text(r.heard_end, end=True))
        for r in repairs
        if r.decision != "applied"
    ]
    return text, [*placed, *rest]


class _Move:
    """Follows an offset of the old text to the new one, through what was heard."""

    def __init__(self, before: Shift, after: Shift) -> None:
        self.before, self.after = before, after

    def __call__(self, place: int, *, end: bool = False) -> int:
        return self.after.to_text(self.before.to_heard(place, end=end), end=end)


def _moved(span: Span, before: dict[str, Shift], after: dict[str, Shift]) -> Span:
    start = _Move(before[span.line], after[span.line])(span.start) if span.line in after else span.start
    end = _Move(before[span.to_line], after[span.to_line])(span.end, end=True) if span.to_line in after else span.end
    return span.evolve(start=start, end=max(end, start) if span.line == span.to_line else end)
