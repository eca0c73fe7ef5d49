"""SubRip. It has no standard, so common practice: numbers may be absent, fractions follow comma or dot."""

from __future__ import annotations

import re

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.build import make_record
from otochron.readers.clocks import STAMP, check_order, read_stamp
from otochron.readers.markup import read_markup, to_pieces
from otochron.readers.pieces import Piece
from otochron.readers.rolling import unroll
from otochron.readers.text_in import shown

# What follows the times (X1: …) are coordinates.
_TIMING = re.compile(rf"\s*({STAMP})\s*-->\s*({STAMP})(?:\s|$)")
_NO_ARROW = re.compile(rf"({STAMP})[ \t]{{0,9}}[-–—=>→]{{0,4}}[ \t]{{0,9}}({STAMP})")
_HALF = re.compile(r"\d+:\d+:[\d.,]+\s*-->|-->\s*-?\d+:\d+:\d")
_EXPECTED = "00:00:00,000 --> 00:00:00,000"
_LONG = 200


def read_srt(text: str, data: bytes, name: str) -> Record:
    """Read SubRip: all between two time lines belongs to the first, but for the number above the second."""
    lines = text.split("\n")
    pieces: list[Piece] = []
    duration = 0
    times: tuple[int, int] | None = None
    number = since = 0
    body: list[str] = []
    for n, line in enumerate(lines, start=1):
        where = f"{name}, line {n}"
        match = _TIMING.match(line) if "-->" in line else None
        if match is None:
            _refuse_broken_times(line, where)
            if times is not None and _is_number(lines, n) and int(line) == number + 1:
                _refuse_missing_times(lines, n, where)
            if not body and line.strip():
                since = n
            if body or line.strip():
                body.append(line)
            continue
        last = _last_row(body)
        if last is not None and _is_number(lines, n - (len(body) - last)):
            number = int(body[last])
            del body[last:]
        _close(times, body, pieces, f"{name}, line {since}")
        times = read_stamp(match.group(1), where), read_stamp(match.group(2), where)
        check_order(*times, where)
        duration = max(duration, times[1])
        body = []
    if times is None:
        raise ReadError(name, "no time line", _EXPECTED, "Give a SubRip file, or leave the reader open.")
    _close(times, body, pieces, name)
    return make_record(unroll(pieces), data, name, "srt", duration)


def _close(times: tuple[int, int] | None, body: list[str], pieces: list[Piece], where: str) -> None:
    content = "\n".join(body).strip()
    if times is not None:
        pieces += to_pieces(read_markup(content), *times)
    elif content:
        found = f"{shown(content)} stands before the first time line"
        raise ReadError(where, found, _EXPECTED, "Give it a time line, or take it out.")


def _last_row(body: list[str]) -> int | None:
    last = len(body) - 1
    while last >= 0 and not body[last].strip():
        last -= 1
    return last if last >= 0 else None


def _is_number(lines: list[str], n: int) -> bool:
    """Tell if line ``n`` is digits alone, at the very start or below an empty line."""
    line = lines[n - 1].strip()
    return line.isdecimal() and len(line) < 10 and (n == 1 or not lines[n - 2].strip())


def _refuse_broken_times(line: str, where: str) -> None:
    if "-->" in line and _HALF.search(line[:_LONG]):
        raise ReadError(where, f"{shown(line)} is not a time line", _EXPECTED, "Mend the times.")
    if ":" in line and len(line) < _LONG and _NO_ARROW.fullmatch(line.strip()):
        raise ReadError(where, f"{shown(line)} has no arrow -->", _EXPECTED, "Put --> between the times.")


def _refuse_missing_times(lines: list[str], n: int, where: str) -> None:
    """Refuse the next number of a cue, alone above words: a spoken number would stand among them."""
    following = [line for line in lines[n : n + 2] if line.strip()]
    if following and lines[n].strip() and not any(_looks_timed(line) for line in following):
        raise ReadError(where, f"cue {lines[n - 1].strip()} has no time line", _EXPECTED, "Add its times.")


def _looks_timed(line: str) -> bool:
    return "-->" in line or (len(line) < _LONG and _NO_ARROW.fullmatch(line.strip()) is not None)
