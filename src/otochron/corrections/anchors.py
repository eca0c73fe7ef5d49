"""Find the place that a correction names, and follow places through repairs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from otochron.corrections.reading import Anchor, Corrections, Order
from otochron.lexicon import Lexicon
from otochron.model import Bilingual, Check, Correction, Line, Record, Repair, Span

CODE = "correction-anchor"
_NAMING = ("concept", "structure", "finding", "step", "code", "field")


@dataclass(frozen=True)
class Place:
    """Where the words of an anchor stand in ``heard`` of a line (half-open)."""

    line: Line
    start: int
    end: int


def find_place(record: Record, anchor: Anchor) -> Place | None:
    """Give the place of an anchor; None if the line or the words are not there."""
    line = next((line for line in record.lines if line.id == anchor.line), None)
    if line is None:
        return None
    found = occurrences(line.heard, anchor.heard)
    if len(found) < anchor.occurrence:
        return None
    return Place(line, *found[anchor.occurrence - 1])


def occurrences(text: str, wanted: str) -> list[tuple[int, int]]:
    """Give where some words stand in a text, whole words only, whatever the spaces and capitals.

    >>> occurrences("the stapes, The  stapes", "the stapes")
    [(0, 10), (12, 23)]
    """
    parts = [re.escape(part) for part in wanted.split()]
    before = r"(?<!\w)" if wanted.strip()[:1].isalnum() else ""
    after = r"(?!\w)" if wanted.strip()[-1:].isalnum() else ""
    return [m.span() for m in re.finditer(before + r"\s+".join(parts) + after, text, re.IGNORECASE)]


class Shift:
    """Follows offsets between ``heard`` and ``text`` of one line through its applied repairs."""

    def __init__(self, repairs: Sequence[Repair]) -> None:
        self.repairs = sorted((r for r in repairs if r.decision == "applied"), key=lambda r: r.heard_start)

    def to_text(self, place: int, *, end: bool = False) -> int:
        """Give the offset in ``text``; inside a repair its start, or its end for an end."""
        shift = 0
        for repair in self.repairs:
            if place < repair.heard_start or (end and place == repair.heard_start):
                break
            if place < repair.heard_end or (end and place == repair.heard_end):
                return repair.text_end if end else repair.text_start
            shift = repair.text_end - repair.heard_end
        return place + shift

    def to_heard(self, place: int, *, end: bool = False) -> int:
        """Give the offset in ``heard``; inside a repair its start, or its end for an end."""
        shift = 0
        for repair in self.repairs:
            if place < repair.text_start or (end and place == repair.text_start):
                break
            if place < repair.text_end or (end and place == repair.text_end):
                return repair.heard_end if end else repair.heard_start
            shift = repair.heard_end - repair.text_end
        return place + shift


def text_span(record: Record, place: Place) -> Span:
    """Give the span of a place in the repaired text, with its time by characters."""
    shift = Shift([r for r in record.repairs if r.line == place.line.id])
    start, end = shift.to_text(place.start), shift.to_text(place.end, end=True)
    line = place.line
    length = max(1, len(line.heard))
    lasting = line.end_ms - line.start_ms
    return Span(
        line=line.id,
        start=min(start, end),
        to_line=line.id,
        end=max(start, end),
        start_ms=line.start_ms + lasting * place.start // length,
        end_ms=line.start_ms + lasting * place.end // length,
    )


def overlaps(record: Record, one: Span, two: Span) -> bool:
    """Tell whether two spans share a letter."""
    order = {line.id: n for n, line in enumerate(record.lines)}
    a, b = (order[one.line], one.start), (order[one.to_line], one.end)
    c, d = (order[two.line], two.start), (order[two.to_line], two.end)
    return a < d and c < b


def misfit(order: Order, lexicon: Lexicon, evidence: Sequence[Span] = ()) -> Check:
    """Make the check of an order that no longer fits."""
    entry = lexicon.get(CODE)
    heard = order.anchor.heard if order.anchor else next((order.text(k) for k in _NAMING if order.text(k)), order.kind)
    line = order.anchor.line if order.anchor else "-"
    place = order.place.rsplit(", ", 1)[-1]
    texts = {"en": entry.en.text if entry else None, "fr": entry.fr.text if entry else None}
    filled = {
        lang: (text or "{place}: {heard} ({line})").format_map({"place": place, "heard": heard, "line": line})
        for lang, text in texts.items()
    }
    return Check(code=CODE, level="stop", message=Bilingual(**filled), evidence=tuple(evidence))


def is_other_recording(record: Record, corrections: Corrections) -> bool:
    """Tell whether the file was written for another recording."""
    return bool(corrections.recording) and corrections.recording != record.recording.sha256


def noted(record: Record, corrections: Corrections, target: str, was: str | None, now: str | None) -> Record:
    """Add a correction: what is now, and what was."""
    correction = Correction(target=target, was=was, now=now, by=corrections.by)
    return record.evolve(corrections=(*record.corrections, correction))


def doubted(record: Record, order: Order, lexicon: Lexicon) -> Record:
    """Add the stop of an order that no longer fits."""
    return record.evolve(checks=(*record.checks, misfit(order, lexicon)))
