"""Time expressions of TTML2: clock times and offset times, frames and ticks."""

from __future__ import annotations

import re
from dataclasses import dataclass

from otochron.errors import ReadError
from otochron.readers.clocks import MAX_MS

_CLOCK = re.compile(r"(\d{2,9}):(\d{2}):(\d{2})(?:(\.\d{1,12})|:(\d{2,5})(?:\.(\d{1,5}))?)?")
_OFFSET = re.compile(r"(\d{1,18}(?:\.\d{1,12})?)(h|ms|m|s|f|t)")


@dataclass(frozen=True, slots=True)
class Rates:
    """How long a frame, a part of a frame and a tick last, in parts of a second."""

    frame: float = 30.0
    sub: float = 1.0
    tick: float = 1.0


def read_rates(attributes: dict[str, str], where: str) -> Rates:
    """Read ``ttp:frameRate``, ``frameRateMultiplier``, ``subFrameRate`` and ``tickRate`` of the root."""
    given = {name.rpartition(" ")[2]: value for name, value in attributes.items() if "#parameter " in name}
    frame = _number(given.get("frameRate"), 30.0, where)
    multiplier = given.get("frameRateMultiplier", "1 1").replace(":", " ").split()
    if len(multiplier) == 2:
        frame *= _number(multiplier[0], 1.0, where) / _number(multiplier[1], 1.0, where)
    sub = _number(given.get("subFrameRate"), 1.0, where)
    usual = frame * sub if "frameRate" in given else 1.0
    return Rates(frame, sub, _number(given.get("tickRate"), usual, where))


def _number(value: str | None, usual: float, where: str) -> float:
    if value is None:
        return usual
    if not re.fullmatch(r"\d{1,9}", value.strip()) or int(value) == 0:
        raise ReadError(where, f"the rate {value[:40]!r} is not a whole number above 0", "a rate", "Mend the rate.")
    return float(value)


def read_time(value: str, rates: Rates, where: str) -> float:
    """Read a time expression as seconds.

    >>> read_time("00:01:02:15", Rates(frame=30.0), "here"), read_time("1.5m", Rates(), "here")
    (62.5, 90.0)

    Raises
    ------
    ReadError
        If it is no time expression, or beyond ten thousand hours.
    """
    value = value.strip()
    if match := _CLOCK.fullmatch(value):
        hours, minutes, seconds, fraction, frames, parts = match.groups()
        if int(minutes) > 59 or int(seconds) > 60:
            raise ReadError(where, f"{value} has more than 59 minutes or seconds", "hh:mm:ss", "Mend the time.")
        time = int(hours) * 3600 + int(minutes) * 60 + int(seconds) + float(fraction or 0)
        time += (int(frames or 0) + int(parts or 0) / rates.sub) / rates.frame
    elif match := _OFFSET.fullmatch(value):
        unit = {"h": 3600, "m": 60, "s": 1, "ms": 0.001, "f": 1 / rates.frame, "t": 1 / rates.tick}
        time = float(match.group(1)) * unit[match.group(2)]
    else:
        found = f"{value[:40]!r} is not a time"
        raise ReadError(where, found, "hh:mm:ss.fraction, or a number with h, m, s, ms, f or t", "Mend the time.")
    if time * 1000 > MAX_MS:
        raise ReadError(where, f"{value} is more than 10000 hours", "a time within the recording", "Mend the time.")
    return time
