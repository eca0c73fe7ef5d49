"""Readers: one short file per format, each ``(text, data, name) -> Record``.

To add a format: write ``readers/<format>.py`` with one function of that shape that makes
:class:`~otochron.readers.pieces.Piece` values and hands them to ``make_record``; add it to ``READERS`` below;
teach :func:`sniff` how its content begins; add a broken file per fault to ``tests/bad``.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.blocks import MARK, read_blocks
from otochron.readers.segments import read_segments
from otochron.readers.srt import read_srt
from otochron.readers.text_in import decode, shown
from otochron.readers.ttml import read_ttml
from otochron.readers.webvtt import read_webvtt

__all__ = ["READERS", "read_bytes", "sniff"]

Reader = Callable[[str, bytes, str], Record]

READERS: dict[str, Reader] = {
    "webvtt": read_webvtt,
    "srt": read_srt,
    "ttml": read_ttml,
    "blocks": read_blocks,
    "segments": read_segments,
}

_JSON = re.compile(r"\s*(?:\{|\[\s*(?:[{\[\]\"]|-?\d+(?:\.\d+)?\s*[,\]]|$))")
_XML = re.compile(r"\s*<(?:\?xml|!DOCTYPE|(?:[\w.-]{1,60}:)?tt[\s>/])")
_ROOT = re.compile(r"<(?:[\w.-]{1,60}:)?tt[\s>/]")
_PAGE = re.compile(r"\s*<(?:!doctype\s+html|html)[\s>]", re.I)
_ARROW = re.compile(r"^[ \t]{0,40}-?\d{1,9}:[^\s\[\]]{0,30}[ \t]*-->|^[^\[\n]{0,60}-->[ \t]*-?\d+:\d\d", re.M)
_TWO_TIMES = re.compile(r"^[ \t]{0,40}\d{1,9}:\d\d:\d\d[.,]\d{1,9}[ \t]{0,9}\d{1,9}:\d\d:\d\d[.,]\d{1,9}", re.M)


def read_bytes(data: bytes, name: str, reader: str | None = None) -> Record:
    """Read a transcript of any of the five formats.

    Parameters
    ----------
    data : bytes
        The file.
    name : str
        Its name, for errors and the record.
    reader : str, optional
        The name of a format, to force it. Forced ``blocks`` also reads a text without any time as one block.

    Raises
    ------
    ReadError
        If the file is not what its format says, or is of none of the formats.
    """
    text = decode(data, name)
    if reader == "blocks":
        return read_blocks(text, data, name, untimed=True)
    chosen = reader or sniff(text, name)
    if chosen not in READERS:
        raise ReadError(name, f"no reader {chosen!r}", ", ".join(READERS), "Choose one of these.")
    return READERS[chosen](text, data, name)


def sniff(text: str, name: str) -> str:
    """Find out the format from the content.

    Raises
    ------
    ReadError
        If it looks like none of them.
    """
    if text.lstrip().startswith("WEBVTT"):
        return "webvtt"
    if _PAGE.match(text):
        raise ReadError(name, "is a web page", "a transcript", "Export the transcript as text with times.")
    if _XML.match(text) or (text.lstrip().startswith("<!--") and _ROOT.search(text)):
        return "ttml"
    if _JSON.match(text) and not MARK.match(text.lstrip()):
        return "segments"
    if _ARROW.search(text) or _TWO_TIMES.search(text):
        return "srt"
    if MARK.search(text):
        return "blocks"
    first = next(line for line in text.split("\n") if line.strip())
    raise ReadError(
        name,
        f"no times ({shown(first)} …)",
        "WebVTT, SRT, TTML, JSON segments, or text with [m:ss]",
        "Export the transcript with times; or read it without any: --reader blocks.",
    )
