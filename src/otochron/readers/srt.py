"""SubRip: no standard, so common practice. Numbers may be absent, marks before fractions be commas or dots."""

from __future__ import annotations

import re

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.clocks import STAMP, check_order, read_stamp
from otochron.readers.markup import read_markup, to_pieces
from otochron.readers.pieces import Piece, make_record
from otochron.readers.rolling import unroll
from otochron.readers.text_in import shown

# What follows the times (X1: …) are coordinates.
_TIMING = re.compile(rf"\s*({STAMP})\s*-->\s*({STAMP})(?:\s|$)")
_NO_ARROW = re.compile(rf"\s*{STAMP}\s*[-–—=>→]*\s*{STAMP}\s*$")
_ARROW = re.compile(r"\d\s*-->|-->\s*-?\d")
_EXPECTED = "00:00:00,000 --> 00:00:00,000"


def read_srt(text: str, data: bytes, name: str) -> Record:
    """Read SubRip: all between two time lines belongs to the first, but for the number above the second."""
    lines = text.split("\n")
    pieces: list[Piece] = []
    duration = 0
    times: tuple[int, int] | None = None
    body: list[str] = []
    for n, line in enumerate(lines, start=1):
        match = _TIMING.match(line) if "-->" in line else None
        if match is None:
            _refuse_lost_cue(lines, n, times is not None, name)
            body.append(line)
            continue
        _close(times, _without_number(body), pieces, name, n)
        where = f"{name}, line {n}"
        times = read_stamp(match.group(1), where), read_stamp(match.group(2), where)
        check_order(*times, where)
        duration = max(duration, times[1])
        body = []
    if times is None:
        raise ReadError(f"{name}, line 1", "no time line", _EXPECTED, "Give a SubRip file, or drop --reader.")
    _close(times, body, pieces, name, len(lines))
    return make_record(unroll(pieces), data, name, "srt", duration)


def _close(times: tuple[int, int] | None, body: list[str], pieces: list[Piece], name: str, n: int) -> None:
    content = "\n".join(body).strip()
    if times is not None:
        pieces += to_pieces(read_markup(content), *times)
    elif content:
        found = f"{shown(content)} stands before the first time line"
        raise ReadError(
            f"{name}, line {max(1, n - 1)}", found, _EXPECTED, "Give it a time line or take it out."
        )


def _without_number(body: list[str]) -> list[str]:
    """Take off the number of the next cue: digits alone, below an empty line or at the very start."""
    last = len(body) - 1
    while last >= 0 and not body[last].strip():
        last -= 1
    if last >= 0 and body[last].strip().isdigit() and (last == 0 or not body[last - 1].strip()):
        return body[:last]
    return body


def _refuse_lost_cue(lines: list[str], n: int, begun: bool, name: str) -> None:
    """Refuse a broken time line, and a numbered cue that has none."""
    line = lines[n - 1]
    where = f"{name}, line {n}"
    if _ARROW.search(line) or (":" in line and _NO_ARROW.match(line)):
        problem = "is not a time line" if "-->" in line else "has no arrow"
        raise ReadError(where, f"{shown(line)} {problem}", _EXPECTED, "Mend the times.")
    numbered = line.strip().isdigit() and (n == 1 or not lines[n - 2].strip())
    if numbered and begun and n < len(lines):
        following = lines[n]
        after = lines[n + 1] if n + 1 < len(lines) else ""
        if following.strip() and "-->" not in following and "-->" not in after and not _has_times(following):
            _refuse_number(lines, n, where)


def _refuse_number(lines: list[str], n: int, where: str) -> None:
    """Refuse only if the number is the next one: a spoken number alone on a row is words."""
    number = int(lines[n - 1].strip()[:9])
    for back in range(n - 2, -1, -1):
        if "-->" in lines[back]:
            above = lines[back - 1].strip() if back else ""
            if above.isdigit() and int(above[:9]) + 1 == number:
                raise ReadError(where, f"cue {number} has no time line", _EXPECTED, "Add its times.")
            return


def _has_times(line: str) -> bool:
    return ":" in line and _NO_ARROW.match(line) is not None
