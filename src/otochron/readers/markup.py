"""The small markup inside subtitle text: styles, voices, languages, inner times, entities."""

from __future__ import annotations

import html
import re
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeVar

from otochron.errors import ReadError
from otochron.model import Lang
from otochron.readers.clocks import STAMP, read_stamp
from otochron.readers.pieces import Piece, Timed, language_of

# One scan from "<" to the next "<" or ">": linear on any input.
_TAG = re.compile(r"<([^<>]*)>")
_STAMP = re.compile(STAMP)
_OVERRIDE = re.compile(r"\{\\[^{}]*\}")
_Stretch = TypeVar("_Stretch", tuple[int, int, Lang], Timed)
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

    >>> unescape("R&D &lt;4 mm&gt; &eacute;")
    'R&D <4 mm> é'
    """
    return _ENTITY.sub(lambda match: html.unescape(match.group()), text) if "&" in text else text


def read_markup(text: str) -> Marked:
    """Read the text of a cue.

    A ``<`` that opens no tag (``depth < 4 mm``) is text. Of languages one inside another the inner holds.
    """
    if "{" in text:
        text = _OVERRIDE.sub("", text)
    if "<" not in text:
        return Marked(unescape(text))
    marked = Marked()
    parts: list[str] = []
    length = place = since = 0
    tongues: list[Lang | None] = [None]
    for match in _TAG.finditer(text):
        inner = match.group(1)
        if not (inner[:1].isalnum() or inner[:1] == "/"):
            continue
        parts.append(unescape(text[place : match.start()]))
        length += len(parts[-1])
        place = match.end()
        before = tongues[-1]
        if inner in {"br", "br/", "br /"}:
            parts.append("\n")
            length += 1
        else:
            _apply_tag(marked, tongues, inner, length)
        if tongues[-1] != before:
            if before is not None and length > since:
                marked.given.append((since, length, before))
            since = length
    parts.append(unescape(text[place:]))
    length += len(parts[-1])
    if tongues[-1] is not None and length > since:
        marked.given.append((since, length, tongues[-1]))
    marked.text = "".join(parts)
    return marked


def _apply_tag(marked: Marked, tongues: list[Lang | None], inner: str, place: int) -> None:
    """Note a voice, a language or an inner time; every other tag is style."""
    name, _, note = inner.strip().replace("\n", " ").partition(" ")
    name = name.split(".", 1)[0].lower()
    if name == "v":
        marked.voices.append((place, unescape(note).strip() or None))
    elif name == "/v":
        marked.voices.append((place, None))
    elif name == "lang":
        tongues.append(language_of(note))
    elif name == "/lang":
        if len(tongues) > 1:
            tongues.pop()
    elif _STAMP.fullmatch(inner):
        try:
            marked.stamps.append((place, read_stamp(inner, "")))
        except ReadError:
            return  # as WebVTT has it: an inner time that is none is passed over


def to_pieces(marked: Marked, start_ms: int, end_ms: int) -> list[Piece]:
    """Make one piece of a cue, or one for each voice in it.

    Inner times give stretches with times of their own; a voice that starts without one starts in proportion
    to the characters. Inner times that do not run forward inside the cue are passed over.
    """
    bounds = [(0, start_ms)]
    for place, ms in marked.stamps:
        if bounds[-1][1] <= ms <= end_ms:
            bounds.append((place, ms))
    bounds.append((len(marked.text), end_ms))
    words: list[Timed] = []
    if len(bounds) > 2:
        words = [(a, b, start, end, None) for (a, start), (b, end) in pairwise(bounds) if b > a]
    turns = _turns(marked)
    if len(turns) == 1:
        return [Piece(start_ms, end_ms, marked.text, turns[0][2], marked.given, words)]
    pieces = []
    for a, b, voice in turns:
        given = [(max(x, a) - a, min(y, b) - a, lang) for x, y, lang in _within(marked.given, a, b)]
        inside = [(max(x, a) - a, min(y, b) - a, s, e, p) for x, y, s, e, p in _within(words, a, b)]
        start, end = _time_at(bounds, a), _time_at(bounds, b)
        pieces.append(Piece(start, end, marked.text[a:b], voice, given, inside))
    return pieces


def _turns(marked: Marked) -> list[tuple[int, int, str | None]]:
    """Give the stretches of one voice each; stretches without words are left out."""
    marks = [(0, None), *marked.voices, (len(marked.text), None)]
    turns: list[tuple[int, int, str | None]] = []
    for (a, voice), (b, _) in pairwise(marks):
        if not marked.text[a:b].strip():
            continue
        if turns and turns[-1][2] == voice:
            turns[-1] = (turns[-1][0], b, voice)
        else:
            turns.append((a, b, voice))
    return turns or [(0, len(marked.text), None)]


def _within(stretches: list[_Stretch], start: int, end: int) -> list[_Stretch]:
    """Give the stretches, sorted and apart, that share something with ``start`` to ``end``."""
    first = max(0, bisect_right(stretches, start, key=lambda stretch: stretch[0]) - 1)
    last = bisect_right(stretches, end - 1, key=lambda stretch: stretch[0])
    return [stretch for stretch in stretches[first:last] if stretch[1] > start]


def _time_at(bounds: list[tuple[int, int]], place: int) -> int:
    n = min(bisect_right(bounds, place, key=lambda bound: bound[0]), len(bounds) - 1)
    (a, start), (b, end) = bounds[n - 1], bounds[n]
    share = min(1.0, (place - a) / (b - a)) if b > a else 1.0
    return round(start + share * (end - start))
