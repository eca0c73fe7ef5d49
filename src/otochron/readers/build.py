"""The record made of what a reader read."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Literal

from otochron.errors import ReadError
from otochron.model import LanguageSpan, Line, Record, Recording, WordTime
from otochron.readers.pieces import Piece, plain_text, settle

MS_PER_WORD = 400
"""150 words a minute, a usual pace of narration; only the last end is ever estimated by it."""
GAP_MS = 60_000
"""After a longer silence the recording does not count as continuous: something may have been cut out."""
WORD_SHARE = 0.9
"""From this share of words with times of their own, the time basis is the word."""
MAX_LINES = 200_000
"""Four days of speech in cues of two seconds; a file with more is no recording of one operation."""


def make_record(pieces: Sequence[Piece], data: bytes, name: str, reader: str, duration_ms: int = 0) -> Record:
    """Make the record of the pieces: sorted by start, empty ones left out, ends filled in.

    Parameters
    ----------
    pieces : sequence of Piece
        As they stand in the file.
    data : bytes
        The file, for its hash.
    name, reader : str
        For ``recording``.
    duration_ms : int
        At least this long, where the file has times without words.

    Returns
    -------
    Record
        With ``recording`` and ``lines``. Overlaps stay; pieces of one start keep their order. A piece without
        an end reaches to the next later start; the last one's end is estimated, and the record says so.

    Raises
    ------
    ReadError
        If there are more than ``MAX_LINES`` pieces.
    """
    if len(pieces) > MAX_LINES:
        found, expected = f"holds {len(pieces)} timed pieces", f"at most {MAX_LINES}"
        raise ReadError(name, found, expected, "Give one recording, or split it.")
    ordered = sorted((piece for piece in pieces if piece.text.strip()), key=lambda piece: piece.start_ms)
    lines: list[Line] = []
    estimated = False
    for piece, following in zip(ordered, _next_starts(ordered), strict=True):
        end_ms = piece.end_ms if piece.end_ms is not None else following
        line = _line(piece, end_ms, len(lines) + 1)
        if line is not None:
            lines.append(line)
            estimated = estimated or end_ms is None
    timed = not ordered or any(piece.end_ms is not None for piece in ordered)
    recording = Recording(
        name=name.encode("utf-8", "replace").decode("utf-8"),
        sha256=hashlib.sha256(data).hexdigest(),
        reader=reader,
        duration_ms=max([duration_ms, *map(_last_ms, lines)]),
        time_basis=_basis(lines) if timed else "block",
        continuous=_is_continuous(lines) if timed else None,
        last_end_estimated=estimated,
    )
    return Record(recording=recording, lines=tuple(lines))


def _last_ms(line: Line) -> int:
    """Give the end of a line, or of its last word: recognisers let words run over."""
    return max(line.end_ms, line.words[-1].end_ms) if line.words else line.end_ms


def _next_starts(ordered: Sequence[Piece]) -> list[int | None]:
    """Give for each piece the next later start: blocks of one start share the time to it."""
    ends: list[int | None] = []
    later: int | None = None
    following: int | None = None
    for piece in reversed(ordered):
        if following is not None and following > piece.start_ms:
            later = following
        ends.append(later)
        following = piece.start_ms
    return ends[::-1]


def _line(piece: Piece, end_ms: int | None, n: int) -> Line | None:
    places = [place for a, b, *_ in piece.given for place in (a, b)]
    places += [place for a, b, *_ in piece.words for place in (a, b)]
    text, moved = settle(piece.text, places)
    if not text:
        return None
    words = []
    for a, b, start, end, p in piece.words:
        first, last = _trim(text, moved[a], moved[b])
        if first < last:
            words.append(WordTime(start=first, end=last, start_ms=start, end_ms=end, p=p))
    given = []
    for a, b, lang in piece.given:
        first, last = _trim(text, moved[a], moved[b])
        if first < last:
            given.append(LanguageSpan(start=first, end=last, language=lang))
    return Line(
        id=f"line-{n}",
        start_ms=piece.start_ms,
        end_ms=piece.start_ms + MS_PER_WORD * len(text.split()) if end_ms is None else end_ms,
        voice=plain_text(piece.voice).strip() or None if piece.voice else None,
        heard=text,
        text=text,
        words=tuple(words),
        given=tuple(given),
    )


def _trim(text: str, start: int, end: int) -> tuple[int, int]:
    while start < end and text[start] == " ":
        start += 1
    while end > start and text[end - 1] == " ":
        end -= 1
    return start, end


def _basis(lines: Sequence[Line]) -> Literal["word", "cue"]:
    total = sum(line.heard.count(" ") + 1 for line in lines)
    known = sum(line.heard.count(" ", word.start, word.end) + 1 for line in lines for word in line.words)
    return "word" if total and known >= WORD_SHARE * total else "cue"


def _is_continuous(lines: Sequence[Line]) -> bool | None:
    """Tell whether no silence between lines is longer than a minute; None for fewer than two lines."""
    if len(lines) < 2:
        return None
    reached = lines[0].end_ms
    for line in lines[1:]:
        if line.start_ms - reached > GAP_MS:
            return False
        reached = max(reached, line.end_ms)
    return True
