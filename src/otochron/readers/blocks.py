"""Plain text or Markdown with ``[m:ss]`` or ``[h:mm:ss]``: a block reaches to the next mark."""

from __future__ import annotations

import re

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.build import make_record
from otochron.readers.clocks import check_order, read_stamp
from otochron.readers.markup import unescape
from otochron.readers.pieces import Piece

_TIME = r"(?:\d{1,9}:)?\d{1,9}:\d{2}(?:[.,]\d{1,3})?"
MARK = re.compile(rf"\[[ \t]*({_TIME})[ \t]*(?:(?:-->|[-–—])[ \t]*({_TIME})[ \t]*)?\](?:\([^()\s]*\))?")
"""A mark; with an end (``[0:12-0:20]``) and as a Markdown link, too."""

_HEADING = re.compile(r"[ ]{0,3}#{1,6}(?:\s|$)")
_RULE = re.compile(r"[-*_=|: \t`]*$")
_BULLET = re.compile(r"\s*(?:(?:[-*+•]\s+|>\s?)+)")
_LINK = re.compile(r"!?\[([^\[\]]*)\]\([^()\s]*\)")
_OPENING = re.compile(r"(?<![\w*_])[*_]{1,3}(?=[^\s*_])")
_CLOSING = re.compile(r"(?<=[^\s*_])[*_]{1,3}(?![\w*_])")
_CODE = re.compile(r"`([^`]*)`")
_HTML = re.compile(r"</?(?:b|i|u|em|strong|br|sub|sup|span|mark|p)(?:[\s/][^<>]*)?>", re.I)


def read_blocks(text: str, data: bytes, name: str, untimed: bool = False) -> Record:
    """Read marked blocks.

    What stands before the first mark, headings without a mark, and comments are no speech: left out.

    Parameters
    ----------
    text, data, name
        The file.
    untimed : bool
        Accept a text without any mark as one block from 0 with an estimated end.
    """
    text = _without_comments(text)
    pieces: list[Piece] = []
    rows: list[list[str]] = []
    for n, line in enumerate(text.split("\n"), start=1):
        marks = list(MARK.finditer(line)) if "[" in line else []
        if not marks:
            if rows and not _HEADING.match(line):
                rows[-1].append(line)
            continue
        before = line[: marks[0].start()]
        if rows and before.strip(" \t#-*+•>_|"):
            rows[-1].append(before)
        ends = [mark.start() for mark in marks[1:]] + [len(line)]
        for mark, end in zip(marks, ends, strict=True):
            pieces.append(_open(mark, f"{name}, line {n}"))
            rows.append([_after_mark(line[mark.end() : end])])
    if not pieces and untimed:
        whole = "\n".join(_strip(line) for line in text.split("\n"))
        return make_record([Piece(0, None, whole)], data, name, "blocks")
    if not pieces:
        remedy = "Put a time before each block, or force --reader blocks to read it without times."
        raise ReadError(name, "no times", "[m:ss] or [h:mm:ss] before each block", remedy)
    for piece, own in zip(pieces, rows, strict=True):
        piece.text = "\n".join(_strip(row) for row in own)
    return make_record(pieces, data, name, "blocks", max(piece.start_ms for piece in pieces))


def _open(mark: re.Match[str], where: str) -> Piece:
    start_ms = read_stamp(mark.group(1), where)
    if mark.group(2) is None:
        return Piece(start_ms, None, "")
    end_ms = read_stamp(mark.group(2), where)
    check_order(start_ms, end_ms, where)
    return Piece(start_ms, end_ms, "")


def _without_comments(text: str) -> str:
    """Take out HTML comments, but keep their line breaks, so that errors name the right line."""
    parts = []
    place = 0
    while (start := text.find("<!--", place)) >= 0 and (end := text.find("-->", start + 4)) >= 0:
        parts += [text[place:start], "\n" * text.count("\n", start, end)]
        place = end + 3
    return "".join([*parts, text[place:]])


def _after_mark(text: str) -> str:
    """Take off what closes the emphasis around a mark."""
    bare = text.lstrip("*_")
    return bare if not bare or bare[0].isspace() or bare[0] == ":" else text


def _strip(line: str) -> str:
    """Give the words of one row of Markdown.

    >>> _strip("- the **footplate** is `0.4` &lt; 0.6 mm, 3*4")
    'the footplate is 0.4 < 0.6 mm, 3*4'
    """
    if _RULE.match(line):
        return ""
    if heading := _HEADING.match(line):
        line = line[heading.end() :]
    if bullet := _BULLET.match(line):
        line = line[bullet.end() :]
    if line.lstrip().startswith("|") or line.rstrip().endswith("|"):
        line = line.replace("|", " ")
    if "[" in line:
        line = _LINK.sub(r"\1", line)
    if "*" in line or "_" in line:
        line = _CLOSING.sub("", _OPENING.sub("", line.replace("**", "")))
    if "`" in line:
        line = _CODE.sub(r"\1", line)
    if "<" in line:
        line = _HTML.sub(" ", line)
    return unescape(line)
