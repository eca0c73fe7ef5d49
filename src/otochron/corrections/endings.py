"""Apply the end of the surgeon's word: what was missing, what was checked, and whether the review is done."""

from __future__ import annotations

from otochron.corrections.anchors import doubted, find_place, is_other_recording, noted, overlaps, text_span
from otochron.corrections.reading import Corrections, Order
from otochron.lexicon import Lexicon
from otochron.model import Check, Record

NOT_APPLICABLE = "not applicable"


def apply_checks(record: Record, corrections: Corrections, lexicon: Lexicon) -> Record:
    """Fill in what was missing, settle checks, and set the review.

    Parameters
    ----------
    record : Record
        With checks and what is missing.
    corrections : Corrections
        The surgeon's file.
    lexicon : Lexicon
        For the messages.
    """
    if is_other_recording(record, corrections):
        return record
    for order in corrections.of_kind("missing"):
        record = _missing(record, order, corrections)
    for order in corrections.of_kind("check"):
        record = _settled(record, order, corrections) or doubted(record, order, lexicon)
    return record.evolve(review=corrections.review)


def _missing(record: Record, order: Order, corrections: Corrections) -> Record:
    """Take an item off the list; what the surgeon writes counts even where something was said."""
    item = order.text("item")
    rest = tuple(missing for missing in record.missing if missing.item != item)
    now = order.text("text") if order.do == "add" else order.text("text") or NOT_APPLICABLE
    return noted(record.evolve(missing=rest), corrections, f"missing:{item}", None, now)


def _settled(record: Record, order: Order, corrections: Corrections) -> Record | None:
    place = find_place(record, order.anchor) if order.anchor else None
    if order.anchor and place is None:
        return None
    span = text_span(record, place) if place else None
    found = [c for c in record.checks if c.code == order.text("code")]
    if span is not None:
        found = [c for c in found if any(overlaps(record, span, one) for one in c.evidence)]
    if not found:
        return None
    record = record.evolve(checks=tuple(c for c in record.checks if c not in found))
    for check in found:
        record = noted(record, corrections, f"check:{check.code}", _told(check), order.text("reason") or "settled")
    return record


def _told(check: Check) -> str:
    return f"{check.level}: {check.message.en}"
