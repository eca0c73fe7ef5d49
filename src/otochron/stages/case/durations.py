"""Times after the operation as they are spoken, as ISO 8601 durations. Words: ``lexicons/cues/plan.toml``."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from otochron.lexicon import Hit, Lexicon
from otochron.lexicon.reading import Reading
from otochron.text.numbers import Number, read_numbers

Part = Literal["after", "for", "until", "every", "bare", "event"]
_LEADS: tuple[tuple[str, Part], ...] = (
    ("plan-until", "until"),
    ("plan-every", "every"),
    ("plan-for", "for"),
    ("plan-after", "after"),
)
_ISO = re.compile(r"P(?:(\d+)Y)?(?:(\d+)M)?(?:(\d+)W)?(?:(\d+)D)?")


@dataclass(frozen=True, slots=True)
class Time:
    """A time said at words ``first`` to ``last``: its part, and one duration or two bounds."""

    first: int
    last: int
    part: Part
    value: str | None = None
    low: str | None = None
    high: str | None = None


def find_times(reading: Reading, lexicon: Lexicon) -> list[Time]:
    """Give the times in order; they do not overlap, the longer wins.

    Notes
    -----
    "for five days" is a duration, "after five days", "at day five", "à J5" and "au cinquième jour" are places
    in time. A length without a word before it is ``bare``: what it is of decides. One that lies behind ("ago",
    "il y a") is none.
    """
    numbers = read_numbers(reading.words)
    found = [*_with_units(reading, lexicon, numbers), *_numbered(reading, lexicon, numbers)]
    found += _fixed(reading, lexicon)
    found = [time for time in found if not _is_gone_by(reading, time)]
    kept: list[Time] = []
    for time in sorted(found, key=lambda t: (t.first, -(t.last - t.first))):
        if kept and time.first < kept[-1].last:
            if time.last - time.first > kept[-1].last - kept[-1].first:
                kept[-1] = time
            continue
        kept.append(time)
    return kept


def _is_gone_by(reading: Reading, time: Time) -> bool:
    """Tell whether a length of time lies behind: "eleven months ago", "il y a onze mois"."""
    if time.part not in ("bare", "after", "for"):
        return False
    before = reading.cues(max(0, time.first - 4), time.first, "gone-by-before")
    after = reading.cues(time.last, time.last + 1, "gone-by-after")
    return any(hit.last == time.first for hit in before) or bool(after)


def duration(value: float, unit: str) -> str:
    """Give an ISO 8601 duration.

    >>> duration(3, "W"), duration(12, "H"), duration(0.5, "Y")
    ('P3W', 'PT12H', 'P6M')
    """
    if unit == "Y" and value != int(value):
        value, unit = value * 12, "M"
    if value != int(value):
        value, unit = round(value * {"W": 7, "M": 30}.get(unit, 1)), "D" if unit in "WM" else unit
    return f"P{'T' if unit == 'H' else ''}{int(value)}{unit}"


def due(day: date, after: str) -> date | None:
    """Give the day a duration after a day; months and years keep the day of the month where they can.

    >>> due(date(2026, 1, 31), "P1M"), due(date(2026, 1, 1), "P15D")
    (datetime.date(2026, 2, 28), datetime.date(2026, 1, 16))
    """
    match = _ISO.fullmatch(after)
    if match is None or not any(match.groups()):
        return None
    years, months, weeks, days = (int(part or 0) for part in match.groups())
    total = day.year * 12 + day.month - 1 + years * 12 + months
    year, month = divmod(total, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last)) + timedelta(days=7 * weeks + days)


def _with_units(reading: Reading, lexicon: Lexicon, numbers: list[Number]) -> list[Time]:
    ends = {number.last: number for number in numbers}
    found: list[Time] = []
    for unit in reading.hits("plan-unit"):
        name = str(lexicon[unit.concepts[0]].values["unit"])
        number = ends.get(unit.first)
        if number is None:
            time = _one(reading, unit, name)
            if time:
                found.append(time)
            continue
        first, low = number.first, None
        joint = [h for h in reading.cues(max(0, first - 2), first, "plan-joins") if h.last == first]
        if joint and joint[-1].first in ends:
            one = ends[joint[-1].first]
            low, first = one.value, one.first
        elif joint and (before := _unit_before(reading, lexicon, joint[-1].first, ends)):
            low, first, name_low = before
            if name_low != name:
                low = None
                first = number.first
        if low is not None:
            part, start = _lead(reading, first)
            found.append(
                Time(
                    start,
                    unit.last,
                    "after" if part in ("bare", "after") else part,
                    None,
                    duration(low, name),
                    duration(number.value, name),
                )
            )
            continue
        part, start = _lead(reading, number.first)
        if number.kind == "ordinal":
            part = "after"
        found.append(Time(start, unit.last, part, duration(number.value, name)))
    return found


def _unit_before(
    reading: Reading, lexicon: Lexicon, place: int, ends: dict[int, Number]
) -> tuple[float, int, str] | None:
    """Give the number and unit that end at a word: "six months" in "six months to a year"."""
    for unit in reading.cues(max(0, place - 2), place, "plan-unit"):
        if unit.last == place and unit.first in ends:
            number = ends[unit.first]
            return number.value, number.first, str(lexicon[unit.concepts[0]].values["unit"])
    return None


def _one(reading: Reading, unit: Hit, name: str) -> Time | None:
    """Read "every day", "chaque mois" and the like: one of the unit."""
    lead = [h for h in reading.cues(max(0, unit.first - 3), unit.first, "plan-every") if h.last == unit.first]
    if lead:
        return Time(lead[-1].first, unit.last, "every", duration(1, name))
    return None


def _lead(reading: Reading, first: int) -> tuple[Part, int]:
    """Give the part that the words before a number make it play, and where they begin."""
    if any(h.last == first for h in reading.cues(max(0, first - 2), first, "plan-between")):
        return "after", first - 1
    for role, part in _LEADS:
        for hit in reading.cues(max(0, first - 4), first, role):
            if hit.last == first:
                return part, hit.first
    return "bare", first


def _numbered(reading: Reading, lexicon: Lexicon, numbers: list[Number]) -> list[Time]:
    """Read "day seven", "J15", "week three"."""
    starts = {number.first: number for number in numbers}
    found: list[Time] = []
    for hit in reading.hits("plan-numbered"):
        number = starts.get(hit.last)
        unit = str(lexicon[hit.concepts[0]].values["unit"])
        if number is None or number.kind not in ("cardinal", "name") or number.value != int(number.value):
            continue
        if reading.has(number.last, number.last + 1, "plan-unit"):
            continue
        part, start = _lead(reading, hit.first)
        found.append(Time(start, number.last, "until" if part == "until" else "after", duration(number.value, unit)))
    return found


def _fixed(reading: Reading, lexicon: Lexicon) -> list[Time]:
    """Read "tomorrow", "twice a day", "until it heals"."""
    parts: tuple[tuple[str, Part, str], ...] = (
        ("plan-fixed", "after", "after"),
        ("plan-often", "every", "every"),
        ("plan-event", "event", "event"),
    )
    found = [
        Time(hit.first, hit.last, part, str(lexicon[hit.concepts[0]].values[key]))
        for role, part, key in parts
        for hit in reading.hits(role)
    ]
    return [_until(reading, time) for time in found]


def _until(reading: Reading, time: Time) -> Time:
    """Read "until tomorrow": how long, not when."""
    led = [h for h in reading.cues(max(0, time.first - 2), time.first, "plan-until") if h.last == time.first]
    return Time(led[-1].first, time.last, "until", time.value) if led and time.part == "after" else time
