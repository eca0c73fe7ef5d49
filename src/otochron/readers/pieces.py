"""What every reader makes: pieces of timed text; and the record made of them."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from otochron.model import Lang, LanguageSpan, Line, Record, Recording, WordTime
from otochron.text.normal import clean

MS_PER_WORD = 400
"""150 words a minute, a usual pace of narration; only the last end is ever estimated by it."""
GAP_MS = 60_000
"""A silence longer than this and the recording does not count as continuous: something may have been cut out."""
WORD_SHARE = 0.9
"""From this share of words with times of their own, the time basis is the word."""

_INVISIBLE = re.compile("[\u00ad\u200c-\u200f\u202a-\u202e\u2060-\u2064\ufeff]")
_SPACES = re.compile(r"\s+")


@dataclass(slots=True)
class Piece:
    """A cue, block or segment as read. Offsets count in ``text``, which may still hold line breaks."""

    start_ms: int
    end_ms: int | None
    text: str
    voice: str | None = None
    given: list[tuple[int, int, Lang]] = field(default_factory=list)
    words: list[tuple[int, int, int, int, float | None]] = field(default_factory=list)

    def without_head(self, count: int, start_ms: int | None = None) -> Piece:
        """Give the piece without its first ``count`` characters."""
        return Piece(
            self.start_ms if start_ms is None else start_ms,
            self.end_ms,
            self.text[count:],
            self.voice,
            [(max(0, a - count), b - count, lang) for a, b, lang in self.given if b > count],
            [(max(0, a - count), b - count, s, e, p) for a, b, s, e, p in self.words if b > count],
        )


def language_of(tag: str) -> Lang | None:
    """Give the language of a BCP 47 tag, if it is one of ours.

    >>> language_of("fr-CA"), language_of("de")
    ('fr', None)
    """
    primary = re.split("[-_]", tag.strip().lower(), maxsplit=1)[0]
    return "en" if primary in {"en", "eng"} else "fr" if primary in {"fr", "fra", "fre"} else None


def settle(text: str, places: Iterable[int]) -> tuple[str, dict[int, int]]:
    """Clean a text (NFC, single spaces, nothing invisible) and say where its places went."""
    plain = _plain(text).strip()
    if plain == text:
        return text, {place: place for place in places}
    bounds = sorted({0, len(text), *(_past_marks(text, place) for place in places)})
    moved: dict[int, int] = {}
    parts: list[str] = []
    length = 0
    for start, end in pairwise(bounds):
        moved[start] = length
        part = _plain(text[start:end])
        if part.startswith(" ") and (not parts or parts[-1].endswith(" ")):
            part = part[1:]
        if part:
            parts.append(part)
            length += len(part)
    moved[len(text)] = length
    result = unicodedata.normalize("NFC", "".join(parts)).rstrip()
    return result, {p: min(len(result), moved[_past_marks(text, p)]) for p in places}


def _plain(text: str) -> str:
    if unicodedata.is_normalized("NFC", text) and text.isprintable():
        return _SPACES.sub(" ", text) if "  " in text else text
    return _SPACES.sub(" ", clean(_INVISIBLE.sub("", text.replace("\u200b", " "))))


def _past_marks(text: str, place: int) -> int:
    """Move a place past combining marks: they belong to the letter before."""
    while place < len(text) and unicodedata.combining(text[place]):
        place += 1
    return place


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
        At least this long, where the file says so without words.

    Returns
    -------
    Record
        With ``recording`` and ``lines``. Overlaps stay; pieces of one start keep their order.
    """
    ordered = sorted(pieces, key=lambda piece: piece.start_ms)
    ends = _next_starts(ordered)
    timed = any(piece.end_ms is not None for piece in ordered)
    lines: list[Line] = []
    estimated = False
    duration = duration_ms
    for piece, following in zip(ordered, ends, strict=True):
        end = piece.end_ms if piece.end_ms is not None else following
        line = _line(piece, end, len(lines) + 1)
        if line is not None:
            estimated = estimated or end is None
            lines.append(line)
            end = line.end_ms
        duration = max(duration, end or 0, piece.start_ms)
    recording = Recording(
        name=name.encode("utf-8", "replace").decode("utf-8"),
        sha256=hashlib.sha256(data).hexdigest(),
        reader=reader,
        duration_ms=duration,
        time_basis=_basis(lines, timed or not ordered),
        continuous=_is_continuous(lines) if timed else None,
        last_end_estimated=estimated,
    )
    return Record(recording=recording, lines=tuple(lines))


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
    places = [p for a, b, *_ in (*piece.given, *piece.words) for p in (a, b)]
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
    if end_ms is None:
        end_ms = piece.start_ms + MS_PER_WORD * len(text.split())
    voice = _plain(piece.voice).strip() or None if piece.voice else None
    return Line(
        id=f"line-{n}",
        start_ms=piece.start_ms,
        end_ms=end_ms,
        voice=voice,
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


def _basis(lines: Sequence[Line], timed: bool) -> str:
    if not timed:
        return "block"
    total = sum(line.heard.count(" ") + 1 for line in lines)
    known = sum(line.heard.count(" ", w.start, w.end) + 1 for line in lines for w in line.words)
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
