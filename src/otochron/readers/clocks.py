"""Written times to milliseconds."""

from __future__ import annotations

import math
import re

from otochron.errors import ReadError

MAX_MS = 10_000 * 3_600_000
"""Ten thousand hours: no recording is longer, so a larger time is a mistake."""

# Hours and minutes may have many digits; the sign is read so that it can be refused.
STAMP = r"-?(?:\d{1,9}:)?\d{1,9}:\d{1,2}(?:[.,]\d{1,9})?"
_STAMP = re.compile(r"(-?)(?:(\d{1,9}):)?(\d{1,9}):(\d{1,2})(?:[.,](\d{1,9}))?")
_SHOWN = 40


def read_stamp(stamp: str, where: str) -> int:
    """Read ``h:mm:ss.mmm`` or ``m:ss.mmm``; the mark before the fraction may be a comma.

    >>> read_stamp("100:02:03,5", "here")
    360123500

    Raises
    ------
    ReadError
        If it is no time, negative, or has more than 59 seconds or (beside hours) minutes.
    """
    match = _STAMP.fullmatch(stamp.strip())
    if match is None:
        raise ReadError(where, f"{stamp!r} is not a time", "hours:minutes:seconds", "Mend the time.")
    sign, hours, minutes, seconds, fraction = match.groups()
    if sign:
        raise ReadError(where, f"the time {stamp} is negative", "a time from the start", "Mend the time.")
    if int(seconds) > 59 or (hours is not None and int(minutes) > 59):
        found = f"{stamp} has more than 59 minutes or seconds"
        raise ReadError(where, found, "hours:minutes:seconds", "Mend the time.")
    ms = round(int((fraction or "0").ljust(9, "0")) / 1e6)
    return in_range(((int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds)) * 1000 + ms, stamp, where)


def read_seconds(value: object, where: str) -> int:
    """Read a number of seconds.

    >>> read_seconds(1.25, "here")
    1250

    Raises
    ------
    ReadError
        If it is no number, not finite, negative or beyond ten thousand hours.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        shown = repr(value[:_SHOWN]) if isinstance(value, str) else f"of type {type(value).__name__}"
        raise ReadError(where, f"a time {shown}, which is no number", "seconds", "Mend the time.")
    if isinstance(value, float) and not math.isfinite(value):
        raise ReadError(where, f"the time {value} is not a finite number", "seconds", "Mend the time.")
    if value < 0:
        found = f"the time {str(value)[:_SHOWN]} is negative"
        raise ReadError(where, found, "seconds from the start", "Mend the time.")
    if value > MAX_MS / 1000:
        return in_range(MAX_MS + 1, f"the time {str(value)[:_SHOWN]} s", where)
    return round(value * 1000)


def in_range(ms: int, stamp: str, where: str) -> int:
    """Refuse a time beyond ten thousand hours."""
    if ms > MAX_MS:
        found = f"{stamp} is more than 10000 hours"
        raise ReadError(where, found, "a time within the recording", "Mend the time.")
    return ms


def check_order(start_ms: int, end_ms: int, where: str) -> None:
    """Refuse an end before its start."""
    if end_ms < start_ms:
        found = f"ends at {end_ms / 1000:.3f} s, before its start at {start_ms / 1000:.3f} s"
        raise ReadError(where, found, "an end after the start", "Mend the times.")
