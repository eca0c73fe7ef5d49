"""JSON segments of a recogniser: an object with ``segments``, or the bare list."""

from __future__ import annotations

import json
import math
from typing import Any

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.clocks import check_order, read_seconds
from otochron.readers.pieces import Piece, make_record, settle
from otochron.readers.text_in import shown

_SHAPE = '{"segments": [{"start", "end", "text"}]}'
_REACH = 60
"""How far ahead, in characters, a word may be looked for when others before it carry no times."""


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
            pieces.append(_piece(segment, name, n))
        except ReadError as error:
            where = error.where.replace(f"{name}, ", f"{name}, line {_line_of(text, n)}, ", 1)
            raise ReadError(where, error.found, error.expected, error.remedy) from None
    return make_record(pieces, data, name, "segments")


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
    except ValueError as error:
        raise ReadError(name, f"a number that cannot be read ({error})", _SHAPE, "Mend the file.") from None


def _piece(segment: Any, name: str, n: int) -> Piece:
    where = f"{name}, segment {n}"
    if not isinstance(segment, dict):
        raise ReadError(
            where, f"{shown(str(segment))} is not a segment", '{"start", "end", "text"}', "Mend it."
        )
    words = segment.get("words")
    words = [w for w in words if isinstance(w, dict)] if isinstance(words, list) else []
    text = segment.get("text")
    if text is None and words:
        text = " ".join(_word(w).strip() for w in words)
    if not isinstance(text, str):
        raise ReadError(where, "no text", '"text": "…"', "Give the words of the segment.")
    start, end = segment.get("start"), segment.get("end")
    if start is None:
        start = next((w["start"] for w in words if w.get("start") is not None), None)
    if start is None:
        raise ReadError(where, "no start time", '"start": seconds', "Give the times of the segment.")
    if end is None:
        end = next((w["end"] for w in reversed(words) if w.get("end") is not None), None)
    start_ms = read_seconds(start, where)
    end_ms = None if end is None else read_seconds(end, where)
    if end_ms is not None:
        check_order(start_ms, end_ms, where)
    text, _ = settle(text, ())
    voice = segment.get("voice", segment.get("speaker"))
    timed = _word_times(text, words, where)
    return Piece(start_ms, end_ms, text, voice if isinstance(voice, str) else None, [], timed)


def _word(word: dict[str, Any]) -> str:
    value = word.get("word", word.get("text"))
    return value if isinstance(value, str) else ""


def _word_times(text: str, words: list[Any], where: str) -> list[tuple[int, int, int, int, float | None]]:
    """Find each timed word in the text, in order."""
    timed = []
    place = 0
    for n, word in enumerate(words, start=1):
        found = _find(text, settle(_word(word), ())[0], place)
        if found is None:
            continue
        place = found[1]
        start, end = word.get("start"), word.get("end")
        if start is None:
            continue
        start_ms = read_seconds(start, f"{where}, word {n}")
        end_ms = start_ms if end is None else read_seconds(end, f"{where}, word {n}")
        check_order(start_ms, end_ms, f"{where}, word {n}")
        timed.append((*found, start_ms, end_ms, _probability(word)))
    return timed


def _find(text: str, word: str, place: int) -> tuple[int, int] | None:
    """Find a word at or after a place: next to it, or whole within reach; punctuation and case are forgiven."""
    bare = word.strip(' .,;:!?…"“”«»()[]')
    for form in dict.fromkeys((word, bare)):
        if not form:
            continue
        limit = place + _REACH + len(form)
        at = text.find(form, place, limit)
        if at < 0:
            window = text[place:limit]
            low = window.lower()
            at = low.find(form.lower()) if len(low) == len(window) else -1
            at = at + place if at >= 0 else -1
        if at < 0:
            continue
        stop = at + len(form)
        between = any(c.isalnum() for c in text[place:at])
        if not between or (not text[at - 1].isalnum() and not text[stop : stop + 1].isalnum()):
            return at, stop
    return None


def _probability(word: dict[str, Any]) -> float | None:
    """Give the recogniser's probability, if it is one."""
    value = word.get("p", word.get("probability"))
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        return None
    return float(value) if math.isfinite(value) else None


def _line_of(text: str, n: int) -> int:
    """Give the line on which the n-th segment starts; only for an error, so a second reading is fine."""
    decoder = json.JSONDecoder()
    key = text.find('"segments"') if text.lstrip().startswith("{") else 0
    place = text.find("[", max(0, key)) + 1
    try:
        for _ in range(n - 1):
            place = _skip(text, place)
            _, place = decoder.raw_decode(text, place)
    except (ValueError, RecursionError):
        return 1
    return text.count("\n", 0, _skip(text, place)) + 1


def _skip(text: str, place: int) -> int:
    while place < len(text) and text[place] in " \t\n\r,":
        place += 1
    return place
