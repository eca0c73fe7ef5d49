"""What every reader makes: pieces of timed text."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from otochron.model import Lang
from otochron.text.normal import clean

_INVISIBLE = re.compile("[\u00ad\u200c-\u200f\u202a-\u202e\u2060-\u2064\ufeff]")
_SPACES = re.compile(r"\s+")
_MOST_MARKS = 32

Timed = tuple[int, int, int, int, float | None]
"""Start and end in the text, start and end in milliseconds, probability."""


@dataclass(slots=True)
class Piece:
    """A cue, block or segment as read. Offsets count in ``text``, which may still hold line breaks."""

    start_ms: int
    end_ms: int | None
    text: str
    voice: str | None = None
    given: list[tuple[int, int, Lang]] = field(default_factory=list)
    words: list[Timed] = field(default_factory=list)

    def without_head(self, count: int) -> Piece:
        """Give the piece without its first ``count`` characters."""
        return Piece(
            self.start_ms,
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


def settle(text: str, places: Sequence[int] = ()) -> tuple[str, dict[int, int]]:
    """Clean a text (NFC, single spaces, nothing invisible) and say where its places went.

    >>> settle(" a   b  c", [5, 8])
    ('a b c', {5: 2, 8: 4})
    """
    text = text.replace("\n", " ")
    plain = plain_text(text).strip()
    if plain == text:
        return text, {place: place for place in places}
    if not places:
        return plain, {}
    bounds = sorted({0, len(text), *(_past_marks(text, place) for place in places)})
    moved: dict[int, int] = {}
    parts: list[str] = []
    length = 0
    for start, end in pairwise(bounds):
        moved[start] = length
        part = plain_text(text[start:end])
        if part.startswith(" ") and (not parts or parts[-1].endswith(" ")):
            part = part[1:]
        if part:
            parts.append(part)
            length += len(part)
    moved[len(text)] = length
    result = unicodedata.normalize("NFC", "".join(parts)).rstrip()
    return result, {place: min(len(result), moved[_past_marks(text, place)]) for place in places}


def plain_text(text: str) -> str:
    """Give a text in NFC, with single spaces, without anything invisible."""
    # Printable text of one normal form is what ``clean`` would give: the usual case, and much faster.
    if unicodedata.is_normalized("NFC", text) and text.isprintable():
        return _SPACES.sub(" ", text) if "  " in text else text
    return _SPACES.sub(" ", clean(_INVISIBLE.sub("", text.replace("\u200b", " "))))


def _past_marks(text: str, place: int) -> int:
    """Move a place past combining marks: they belong to the letter before."""
    limit = min(len(text), place + _MOST_MARKS)
    while place < limit and unicodedata.combining(text[place]):
        place += 1
    return place
