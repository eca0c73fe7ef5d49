"""WebVTT (W3C, https://www.w3.org/TR/webvtt1/): cues with settings, voices, languages, inner times."""

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

# What follows the times are cue settings.
_TIMING = re.compile(rf"\s*({STAMP})\s*-->\s*({STAMP})(?:\s|$)")
_HEADER = re.compile(r"WEBVTT(?:[ \t]|$)")
_ASIDE = re.compile(r"(?:NOTE|STYLE|REGION)(?:\s|$)")
_EXPECTED = "00:00:00.000 --> 00:00:00.000"


def read_webvtt(text: str, data: bytes, name: str) -> Record:
    """Read WebVTT.

    The header, NOTE, STYLE and REGION blocks and cue settings are passed over. A block that is none of these
    and has no time line is an error: the standard would drop its words without a sound.
    """
    lines = text.split("\n")
    first = next(n for n, line in enumerate(lines) if line.strip())
    if not _HEADER.match(lines[first]):
        where = f"{name}, line {first + 1}"
        raise ReadError(where, shown(lines[first]), "WEBVTT on a line of its own", "Mend the first line.")
    pieces: list[Piece] = []
    duration = 0
    n = _end_of_block(lines, first + 1)
    while n < len(lines):
        if not lines[n].strip():
            n += 1
        elif _ASIDE.match(lines[n]) and not _TIMING.match(lines[n]):
            n = _end_of_block(lines, n + 1)
        else:
            at = _timing_line(lines, n, name)
            start, end = _read_timing(lines[at], f"{name}, line {at + 1}")
            n = _end_of_block(lines, at + 1)
            pieces += to_pieces(read_markup("\n".join(lines[at + 1 : n])), start, end)
            duration = max(duration, end)
    return make_record(unroll(pieces), data, name, "webvtt", duration)


def _end_of_block(lines: list[str], n: int) -> int:
    """Give the line after a block: an empty line, or the time line of a cue that no empty line precedes."""
    while n < len(lines) and lines[n] and not ("-->" in lines[n] and _TIMING.match(lines[n])):
        n += 1
    return n


def _timing_line(lines: list[str], n: int, name: str) -> int:
    """Find the time line of the cue that starts at ``n``: there, or below its identifier."""
    if "-->" in lines[n]:
        return n
    if n + 1 < len(lines) and "-->" in lines[n + 1]:
        return n + 1
    found = f"{shown(lines[n])} stands without a time line"
    remedy = "Add the times, or start the block with NOTE if it is a comment."
    raise ReadError(f"{name}, line {n + 1}", found, _EXPECTED, remedy)


def _read_timing(line: str, where: str) -> tuple[int, int]:
    match = _TIMING.match(line)
    if match is None:
        raise ReadError(where, f"{shown(line)} is not a time line", _EXPECTED, "Mend the times.")
    start, end = read_stamp(match.group(1), where), read_stamp(match.group(2), where)
    check_order(start, end, where)
    return start, end
