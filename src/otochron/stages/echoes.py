"""Link what is said again at once, usually in the other language. It counts once and adds evidence."""

from __future__ import annotations

import math

from otochron.lexicon import Lexicon
from otochron.lexicon.reading import Reading, Size, Spot
from otochron.model import Measurement, Record

_WINDOW_MS = 20_000
_SAME_PLACE_MS = 8_000
_SAME = 1e-6


def link_echoes(record: Record, lexicon: Lexicon) -> Record:
    """Set ``echo_of`` on mentions and measurements that repeat one of the last 20 seconds.

    Parameters
    ----------
    record : Record
        Needs ``lines``, ``mentions`` and ``measurements`` with status.
    lexicon : Lexicon
        For the cues of repeating an act ("again").

    Returns
    -------
    Record
        The first telling keeps no ``echo_of``; each later one names it. A mention is an echo when the same
        concept was named with the same status in the other language; a measurement when the same value and
        unit were said of the same thing, and no measuring act lies between.
    """
    reading = Reading(record, lexicon)
    mentions = {s.mention.id: target for s, target in _mention_echoes(reading)}
    sizes = dict(_size_echoes(reading))
    return record.evolve(
        mentions=tuple(m.evolve(echo_of=mentions[m.id]) if m.id in mentions else m for m in record.mentions),
        measurements=tuple(
            m.evolve(echo_of=sizes[m.id]) if m.id in sizes and m.echo_of is None else m for m in record.measurements
        ),
    )


def _mention_echoes(reading: Reading) -> list[tuple[Spot, str]]:
    found: list[tuple[Spot, str]] = []
    last: dict[str, tuple[Spot, str]] = {}
    for spot in reading.spots:
        concept = spot.concept
        if concept is None or spot.mention.kind == "reference":
            continue
        before = last.get(concept)
        first = spot.mention.id
        if (
            before
            and spot.mention.start_ms - before[0].mention.end_ms <= _WINDOW_MS
            and before[0].mention.language != spot.mention.language
            and before[0].mention.status == spot.mention.status
        ):
            first = before[1]
            found.append((spot, first))
        last[concept] = (spot, first)
    return found


def _size_echoes(reading: Reading) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    firsts: dict[str, str] = {}
    sizes = reading.sizes
    for n, size in enumerate(sizes):
        for before in reversed(sizes[max(0, n - 6) : n]):
            if size.measurement.start_ms - before.measurement.end_ms > _WINDOW_MS:
                break
            if _repeats(reading, before, size):
                first = firsts.get(before.measurement.id, before.measurement.id)
                firsts[size.measurement.id] = first
                found.append((size.measurement.id, first))
                break
    return found


def _repeats(reading: Reading, before: Size, size: Size) -> bool:
    one, two = before.measurement, size.measurement
    if "retracted" in (one.status, two.status) and one.status != two.status:
        return False
    if one.quantity != two.quantity or one.unit != two.unit or not _same_value(one, two):
        return False
    if one.of and two.of and one.of != two.of:
        return False
    other = reading.words[before.first].language != reading.words[size.first].language
    near = two.start_ms - one.end_ms <= _SAME_PLACE_MS
    if not other and not near:
        return False
    return not reading.has(before.last, size.first, "measured-again")


def _same_value(one: Measurement, two: Measurement) -> bool:
    pairs = [(one.value, two.value), (one.low, two.low), (one.high, two.high)]
    return all(
        (a is None and b is None) or (a is not None and b is not None and math.isclose(a, b, rel_tol=_SAME))
        for a, b in pairs
    )
