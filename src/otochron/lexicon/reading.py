"""A record read once: its words, what is mentioned where, and where statements begin.

Stages that link mentions (references, echoes, the case) share it. All look-ups go by word number and cost a
bisection, so that a stage stays linear in the words of the recording.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from otochron.lexicon.find import Hit
from otochron.lexicon.load import Lexicon
from otochron.model import Clause, Measurement, Mention, Record, Span
from otochron.text.stream import Places, Word, span_of, words

BREAKS = ("turn", "contrast", "subject", "opener")
"""Cues at which a new statement may begin inside a clause."""
_PAUSE_MS = 1500
_LED = 4
"""Words in which a preposition before a noun is looked for."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A mention and its words ``first`` to ``last`` (half-open)."""

    first: int
    last: int
    mention: Mention

    @property
    def concept(self) -> str | None:
        """What is named, or what the words refer to."""
        return self.mention.concept or self.mention.refers_to


@dataclass(frozen=True, slots=True)
class Size:
    """A measurement and its words."""

    first: int
    last: int
    measurement: Measurement


@dataclass(frozen=True, slots=True)
class Piece:
    """A clause and its words."""

    first: int
    last: int
    clause: Clause


class Reading:
    """One record with its look-ups."""

    def __init__(self, record: Record, lexicon: Lexicon) -> None:
        self.record = record
        self.lexicon = lexicon
        self.words: tuple[Word, ...] = words(record)
        self.places = Places(self.words, record.lines)
        self.spots = sorted(
            (Spot(self.places.first(m), self.places.last(m), m) for m in record.mentions),
            key=lambda s: (s.first, -s.last),
        )
        self._starts = [spot.first for spot in self.spots]
        self._hits: dict[tuple[str, ...], tuple[list[Hit], list[int]]] = {}

    # --- what stands where ---------------------------------------------------------------------------

    def among(self, first: int, last: int) -> list[Spot]:
        """Give the mentions that begin among some words."""
        return self.spots[bisect_left(self._starts, first) : bisect_left(self._starts, last)]

    @cached_property
    def sizes(self) -> list[Size]:
        """All measurements with their words."""
        found = [Size(self.places.first(m), self.places.last(m), m) for m in self.record.measurements]
        return sorted(found, key=lambda s: (s.first, s.last))

    @cached_property
    def pieces(self) -> list[Piece]:
        """All clauses with their words."""
        return [Piece(self.places.first(c.span), self.places.last(c.span), c) for c in self.record.clauses]

    @cached_property
    def _piece_starts(self) -> list[int]:
        return [piece.first for piece in self.pieces]

    def piece(self, place: int) -> Piece | None:
        """Give the clause that holds a word."""
        n = self.piece_number(place)
        return self.pieces[n] if n >= 0 else None

    def piece_number(self, place: int) -> int:
        """Give the number of the clause that holds a word, -1 if there is none."""
        return bisect_right(self._piece_starts, place) - 1

    def register(self, place: int) -> str:
        """Tell to whom a word is spoken."""
        piece = self.piece(place)
        return piece.clause.register_ if piece else "narration"

    # --- cues ----------------------------------------------------------------------------------------

    def hits(self, *roles: str) -> list[Hit]:
        """Give the cues of some roles, in order."""
        return self._found(roles)[0]

    def cues(self, first: int, last: int, *roles: str) -> list[Hit]:
        """Give the cues of some roles that begin among some words."""
        hits, starts = self._found(roles)
        return hits[bisect_left(starts, first) : bisect_left(starts, last)]

    def has(self, first: int, last: int, *roles: str) -> bool:
        """Tell whether a cue of some roles begins among some words."""
        return bool(self.cues(max(0, first), last, *roles))

    def _found(self, roles: tuple[str, ...]) -> tuple[list[Hit], list[int]]:
        if roles not in self._hits:
            hits = self.lexicon.cue_finder(*roles).find(self.words)
            self._hits[roles] = hits, [hit.first for hit in hits]
        return self._hits[roles]

    # --- statements ----------------------------------------------------------------------------------

    @cached_property
    def _breaks(self) -> list[int]:
        """Words at which a statement may begin: clause starts, turns, subjects, switches, silences."""
        found = {piece.first for piece in self.pieces} | {hit.first for hit in self.hits(*BREAKS)}
        for n in range(1, len(self.words)):
            one, two = self.words[n - 1], self.words[n]
            if one.language != two.language or one.mark == "." or two.start_ms - one.end_ms > _PAUSE_MS:
                found.add(n)
        return sorted(found)

    def breaks(self, one: int, two: int) -> int:
        """Count the statements that may begin between two words (after the first, up to the second)."""
        low, high = min(one, two), max(one, two)
        return bisect_right(self._breaks, high) - bisect_right(self._breaks, low)

    def statement(self, place: int) -> tuple[int, int]:
        """Give the shortest stretch of words round a word that no break cuts (half-open)."""
        n = bisect_right(self._breaks, place)
        first = self._breaks[n - 1] if n else 0
        last = self._breaks[n] if n < len(self._breaks) else len(self.words)
        return first, last

    def after_preposition(self, place: int) -> bool:
        """Tell whether a preposition leads in the noun at a word, over its article and a word or two."""
        hits = self.cues(max(0, place - _LED), place, "locative", "company", "preposition")
        return any(
            place - hit.last < _LED - 1
            and not self.among(hit.last, place)
            and not self.breaks(hit.first, place)
            and not self.has(hit.last, place, "addition", "coordinator")
            for hit in hits
        )

    # --- time and text -------------------------------------------------------------------------------

    def span(self, first: int, last: int) -> Span:
        """Give the span of some words."""
        return span_of(self.words, first, max(last, first + 1))

    def text(self, first: int, last: int) -> str:
        """Give some words as they stand in the text, joined by a space across lines."""
        parts: list[str] = []
        while first < last:
            line = self.words[first].line
            end = first
            while end < last and self.words[end].line == line:
                end += 1
            parts.append(self._texts[line][self.words[first].start : self.words[end - 1].end])
            first = end
        return " ".join(parts)

    @cached_property
    def _texts(self) -> dict[str, str]:
        return {line.id: line.text for line in self.record.lines}

    def seconds(self, one: int, two: int) -> float:
        """Give the time between two words, in seconds."""
        if not self.words:
            return 0.0
        top = len(self.words) - 1
        return abs(self.words[min(two, top)].start_ms - self.words[min(one, top)].start_ms) / 1000


def spread(lexicon: Lexicon, concept: str) -> Iterator[str]:
    """Give a concept and everything that it is part of or a kind of, nearest first."""
    seen: set[str] = set()
    wave: Sequence[str] = (concept,)
    while wave:
        following: list[str] = []
        for name in wave:
            if name in seen:
                continue
            seen.add(name)
            yield name
            entry = lexicon.get(name)
            if entry:
                following += [*entry.broader, *entry.part_of]
        wave = following
