"""Plain text or Markdown with ``[m:ss]`` or ``[h:mm:ss]``: a block reaches to the next mark."""

from __future__ import annotations

import re

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.clocks import check_order, read_stamp
from otochron.readers.markup import unescape
from otochron.readers.pieces import Piece, make_record

_TIME = r"(?:\d{1,5}:)?\d{1,5}:\d{2}(?:[.,]\d{1,3})?"
MARK = re.compile(rf"\[\s*({_TIME})\s*(?:(?:-->|[-–—])\s*({_TIME})\s*)?\](?:\([^()\s]*\))?")

_HEADING = re.compile(r"\s{0,3}#{1,6}(?:\s+|$)")
_BULLET = re.compile(r"\s*(?:[-*+•]\s+|>\s?)+")
_RULE = re.compile(r"\s*(?:[-*_]\s*){3,}$")
_LINK = re.compile(r"!?\[([^\[\]]*)\]\([^()\s]*\)")
_OPENING = re.compile(r"(?<![\w*_])[*_]{1,3}(?=[^\s*_])")
_CLOSING = re.compile(r"(?<=[^\s*_])[*_]{1,3}(?![\w*_])")
_CODE = re.compile(r"`([^`]*)`")
_HTML = re.compile(r"</?(?:b|i|u|em|strong|br|sub|sup|span|mark|p)(?:[\s/][^<>]*)?>", re.I)


def read_blocks(text: str, data: bytes, name: str, untimed: bool = False) -> Record:
    """Read marked blocks.

    What stands before the first mark, and headings without a mark, are not speech and are left out.

    Parameters
    ----------
    text, data, name
        The file.
    untimed : bool
        Accept a text without any mark as one block from 0 with an estimated end.
    """
    if not MARK.search(text):
        if untimed:
            whole = "\n".join(_strip(line) for line in text.split("\n"))
            return make_record([Piece(0, None, whole)], data, name, "blocks")
        remedy = "Put a time before each block, or force --reader blocks to read it without times."
        raise ReadError(name, "no times", "[m:ss] or [h:mm:ss] before each block", remedy)
    pieces: list[Piece] = []
    rows: list[list[str]] = []
    for n, line in enumerate(text.split("\n"), start=1):
        marks = list(MARK.finditer(line)) if "[" in line else []
        if not marks:
            if rows and not _HEADING.match(line):
                rows[-1].append(line)
            continue
        if rows:
            rows[-1].append(_lead(line[: marks[0].start()]))
        for mark, end in zip(marks, [m.start() for m in marks[1:]] + [len(line)], strict=True):
            where = f"{name}, line {n}"
            start_ms = read_stamp(mark.group(1), where)
            end_ms = read_stamp(mark.group(2), where) if mark.group(2) else None
            if end_ms is not None:
                check_order(start_ms, end_ms, where)
            pieces.append(Piece(start_ms, end_ms, ""))
            rows.append([_tail(line[mark.end() : end])])
    for piece, own in zip(pieces, rows, strict=True):
        piece.text = "\n".join(_strip(row) for row in own)
    return make_record(pieces, data, name, "blocks")


def _lead(text: str) -> str:
    """Give the words before a mark; the Markdown that opens the row of a mark is none."""
    return re.sub(r"^\s*(?:#{1,6}\s+)?(?:[-*+•>]\s+)*[*_]{0,3}\s*$", "", text)


def _tail(text: str) -> str:
    """Take off what closes the emphasis around a mark."""
    return re.sub(r"^[*_]{1,3}(?=[\s:]|$):?", "", text)


def _strip(line: str) -> str:
    """Give the words of one row of Markdown."""
    if _RULE.match(line):
        return ""
    line = _HEADING.sub("", line, count=1) if _HEADING.match(line) else line
    bullet = _BULLET.match(line)
    line = line[bullet.end() :] if bullet else line
    if "[" in line:
        line = _LINK.sub(r"\1", line)
    if "*" in line or "_" in line:
        line = _CLOSING.sub("", _OPENING.sub("", line))
    if "`" in line:
        line = _CODE.sub(r"\1", line)
    if "<" in line:
        line = _HTML.sub(" ", line)
    return unescape(line)
