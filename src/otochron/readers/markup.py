"""The small markup inside subtitle text: styles, voices, languages, inner times, entities."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, field

from otochron.errors import ReadError
from otochron.model import Lang
from otochron.readers.clocks import STAMP, read_stamp
from otochron.readers.pieces import Piece, language_of

# One scan from "<" to the next "<" or ">": linear on any input.
_TAG = re.compile(r"<([^<>]*)>")
_STAMP = re.compile(STAMP)
_OVERRIDE = re.compile(r"\{\\[^{}]*\}")
_ENTITY = re.compile(r"&(?:#\d{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")


@dataclass(slots=True)
class Marked:
    """Plain text, and where what held in its markup."""

    text: str = ""
    voices: list[tuple[int, str | None]] = field(default_factory=list)
    given: list[tuple[int, int, Lang]] = field(default_factory=list)
    stamps: list[tuple[int, int]] = field(default_factory=list)


def unescape(text: str) -> str:
    """Decode character references; a bare ``&`` stays.

    >>> unescape("R&D &lt;4&nbsp;mm&gt; &eacute;")
    'R&D <4\\xa0mm> é'
    """
    return _ENTITY.sub(lambda match: html.unescape(match.group()), text) if "&" in text else text


def read_markup(text: str) -> Marked:
    """Read the text of a cue.

    A ``<`` that opens no tag (``depth < 4 mm``) is text. Of languages one inside another the inner holds.
    """
    marked = Marked()
    if "{" in text:
        text = _OVERRIDE.sub("", text)
    if "<" not in text:
        marked.text = unescape(text)
        return marked
    parts: list[str] = []
    length = place = 0
    tongues: list[Lang | None] = [None]
    since = 0
    for match in _TAG.finditer(text):
        inner = match.group(1)
        if not (inner[:1].isalnum() or inner[:1] == "/"):
            continue
        part = unescape(text[place : match.start()])
        parts.append(part)
        length += len(part)
        place = match.end()
        before = tongues[-1]
        name, _, note = inner.strip().replace("\n", " ").partition(" ")
        name = name.split(".", 1)[0].lower()
        if _STAMP.fullmatch(inner):
            _add_stamp(marked, length, inner)
        elif name == "v":
            marked.voices.append((length, unescape(note).strip() or None))
        elif name == "/v":
            marked.voices.append((length, None))
        elif name == "lang":
            tongues.append(language_of(note))
        elif name == "/lang" and len(tongues) > 1:
            tongues.pop()
        elif name in {"br", "br/"}:
            parts.append("\n")
            length += 1
        if tongues[-1] != before:
            if before is not None and length > since:
                marked.given.append((since, length, before))
            since = length
    rest = unescape(text[place:])
    parts.append(rest)
    length += len(rest)
    if tongues[-1] is not None and length > since:
        marked.given.append((since, length, tongues[-1]))
    marked.text = "".join(parts)
    return marked


def _add_stamp(marked: Marked, place: int, stamp: str) -> None:
    try:
        marked.stamps.append((place, read_stamp(stamp, "")))
    except ReadError:
        return  # WebVTT: a time that is none is passed over


def to_pieces(marked: Marked, start_ms: int, end_ms: int) -> list[Piece]:
    """Make one piece of a cue, or one for each voice in it.

    Inner times give stretches with times of their own; a voice that starts without one starts in proportion
    to the characters. Inner times that do not run forward inside the cue are passed over.
    """
    bounds = [(0, start_ms)]
    for place, ms in marked.stamps:
        if bounds[-1][1] <= ms <= end_ms and place >= bounds[-1][0]:
            bounds.append((place, ms))
    bounds.append((len(marked.text), end_ms))
    words: list[tuple[int, int, int, int, float | None]] = []
    if len(bounds) > 2:
        words = [(a, b, s, e, None) for (a, s), (b, e) in zip(bounds, bounds[1:], strict=False) if b > a]
    turns = _turns(marked)
    if len(turns) == 1:
        return [Piece(start_ms, end_ms, marked.text, turns[0][2], marked.given, words)]
    pieces = []
    for a, b, voice in turns:
        given = [(max(x, a) - a, min(y, b) - a, lang) for x, y, lang in marked.given if x < b and y > a]
        inside = [(max(x, a) - a, min(y, b) - a, s, e, p) for x, y, s, e, p in words if x < b and y > a]
        start, end = _time_at(bounds, a), _time_at(bounds, b)
        pieces.append(Piece(start, end, marked.text[a:b], voice, given, inside))
    return pieces


def _turns(marked: Marked) -> list[tuple[int, int, str | None]]:
    """Give the stretches of one voice each; stretches without words are left out."""
    marks = [(0, None), *marked.voices, (len(marked.text), None)]
    turns: list[tuple[int, int, str | None]] = []
    for (a, voice), (b, _) in zip(marks, marks[1:], strict=False):
        if not marked.text[a:b].strip():
            continue
        if turns and turns[-1][2] == voice:
            turns[-1] = (turns[-1][0], b, voice)
        else:
            turns.append((a, b, voice))
    return turns or [(0, len(marked.text), None)]


def _time_at(bounds: list[tuple[int, int]], place: int) -> int:
    for (a, start), (b, end) in zip(bounds, bounds[1:], strict=False):
        if place <= b and b > a:
            return round(start + (place - a) / (b - a) * (end - start))
    return bounds[-1][1]
