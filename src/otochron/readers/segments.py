"""JSON segments of a recogniser: an object with ``segments``, or the bare list."""

from __future__ import annotations

import json
from typing import Any

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.build import make_record
from otochron.readers.clocks import check_order, read_seconds
from otochron.readers.pieces import Piece
from otochron.readers.segment_words import read_words, word_text

_SHAPE = '{"segments": [{"start", "end", "text"}]}'


def read_segments(text: str, data: bytes, name: str) -> Record:
    """Read segments; ``words`` and their ``p`` may be absent, and so may the times of single words."""
    found = _parse(text, name)
    if isinstance(found, dict):
        found = found.get("segments")
    if not isinstance(found, list):
        raise ReadError(f"{name}, line 1", "JSON without a list of segments", _SHAPE, "Give the segments.")
    pieces = []
    for n, segment in enumerate(found, start=1):
        try:
            pieces.append(_piece(segment, f"segment {n}"))
        except ReadError as error:
            where = f"{name}, line {_line_of(text, n)}, {error.where}"
            raise ReadError(where, error.found, error.expected, error.remedy) from None
    duration = max((piece.end_ms or piece.start_ms for piece in pieces), default=0)
    return make_record(pieces, data, name, "segments", duration)


def _parse(text: str, name: str) -> Any:
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        cut = error.pos >= len(text.rstrip()) or error.msg.startswith("Unterminated")
        problem = "the JSON ends too early" if cut else f"not JSON ({error.msg})"
        remedy = "Export it again." if cut else "Mend the file."
        raise ReadError(f"{name}, line {error.lineno}", problem, _SHAPE, remedy) from None
    except RecursionError:
        raise ReadError(name, "JSON nested too deep", _SHAPE, "Give the segments alone.") from None
    except ValueError:  # whole numbers of more than 4300 digits
        raise ReadError(name, "a number too long to read", _SHAPE, "Mend the file.") from None


def _piece(segment: Any, where: str) -> Piece:
    if not isinstance(segment, dict):
        found = f"a {type(segment).__name__} stands for a segment"
        raise ReadError(where, found, '{"start", "end", "text"}', "Mend the segment.")
    words = segment.get("words")
    words = [word for word in words if isinstance(word, dict)] if isinstance(words, list) else []
    text = segment.get("text")
    if text is None and words:
        text = " ".join(word_text(word).strip() for word in words)
    if not isinstance(text, str):
        raise ReadError(where, "no text", '"text": "…"', "Give the words of the segment.")
    start = _first(segment.get("start"), (word.get("start") for word in words))
    end = _first(segment.get("end"), (word.get("end") for word in reversed(words)))
    if start is None:
        raise ReadError(where, "no start time", '"start": seconds', "Give the times of the segment.")
    start_ms = read_seconds(start, where)
    end_ms = None if end is None else read_seconds(end, where)
    if end_ms is not None:
        check_order(start_ms, end_ms, where)
    voice = segment.get("voice", segment.get("speaker"))
    text, timed = read_words(text, words, where)
    return Piece(start_ms, end_ms, text, voice if isinstance(voice, str) else None, [], timed)


def _first(value: Any, others: Any) -> Any:
    return value if value is not None else next((other for other in others if other is not None), None)


def _line_of(text: str, n: int) -> int:
    """Give the line on which the n-th segment starts; only for an error, so a second reading is fine."""
    decoder = json.JSONDecoder()
    key = text.find('"segments"') if text.lstrip().startswith("{") else 0
    place = _skip(text, text.find("[", max(0, key)) + 1)
    try:
        for _ in range(n - 1):
            _, place = decoder.raw_decode(text, place)
            place = _skip(text, place)
    except (ValueError, RecursionError):
        return 1
    return text.count("\n", 0, place) + 1


def _skip(text: str, place: int) -> int:
    while place < len(text) and text[place] in " \t\n\r,":
        place += 1
    return place
