"""What stands around an amount: clauses, mentions, hints, dimension words."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from otochron.lexicon import Lexicon
from otochron.model import Mention, Record
from otochron.stages.measurements.bands import Row, Rows
from otochron.stages.measurements.cues import Cue, Cues, phrase_finder
from otochron.text.stream import Places, Word

_PAUSE_MS = 1500
THINGS = frozenset(
    "structure landmark graft implant approach drug material packing disease complication instrument".split()
)
"""What can have a size."""
_LEADS = (("of", "belonging"), ("to", "measured-goal"), ("at", "locative"))


@dataclass(frozen=True, slots=True)
class Head:
    """A mention or phrase that may be, or point to, what is measured."""

    first: int
    last: int
    concept: str | None
    kind: str
    row: str = ""
    """The row that a phrase points to."""


class Scene:
    """Everything that the reading of one recording needs, indexed by word."""

    def __init__(self, record: Record, words: Sequence[Word], lexicon: Lexicon) -> None:
        self.record = record
        self.words = words
        self.lexicon = lexicon
        self.cues = Cues(words, lexicon)
        self.rows = Rows(lexicon)
        places = Places(words, record.lines)
        self.clause = _clauses(record, words, places)
        self.registers = _registers(record, words, places)
        self.heads = sorted(
            [_head(mention, places) for mention in record.mentions if mention.concept]
            + [
                Head(hit.first, hit.last, None, "phrase", row)
                for hit in phrase_finder(lexicon).find(words)
                for row in hit.concepts
            ],
            key=lambda h: (h.first, h.last, h.concept or "", h.row),
        )
        self._starts = [head.first for head in self.heads]
        self.count = Counter(head.concept for head in self.heads if head.concept)
        self._spoken: dict[str, bool] = {}
        self._small: dict[str, set[int]] = {}
        self._things = sorted({head.first for head in self.heads if head.kind in THINGS})
        # Small words, and materials, that may stand between a thing and its size.
        self.joins = {n for cue in self.cues.all("head-join") for n in range(cue.first, cue.last)} | {
            n for head in self.heads if head.kind == "material" for n in range(head.first, head.last)
        }

    def near(self, first: int, last: int, before: int, after: int) -> list[Head]:
        """Give the heads that begin within ``before`` words before or ``after`` words after a stretch."""
        a = bisect_left(self._starts, first - before)
        b = bisect_right(self._starts, last + after)
        return self.heads[a:b]

    def things_between(self, first: int, last: int) -> int:
        """Count the things named between two words that could be measured themselves."""
        a, b = bisect_left(self._things, first), bisect_left(self._things, last)
        return max(0, b - a)

    def in_name(self, cue: Cue) -> bool:
        """Tell whether a cue is part of the name of a thing."""
        return any(head.kind in THINGS and head.last >= cue.last for head in self.near(cue.first, cue.first, 5, 0))

    def opens(self, head: Head) -> bool:
        """Tell whether a head is the first thing named in its clause."""
        start = self.clause_range(head.first)[0]
        n = bisect_left(self._things, start)
        return n >= len(self._things) or self._things[n] >= head.first

    def lead(self, place: int) -> str:
        """Name what leads a word, articles left aside: ``of``, ``to`` (an end), ``at`` (any place), or nothing."""
        while place > 0 and not self.words[place - 1].mark:
            place -= 1
            for name, role in _LEADS:
                if self._is(role, place):
                    return name
            if not (self._is("article", place) or self._is("determiner", place)):
                break
        return ""

    def follow(self, place: int) -> str:
        """Name what follows: ``of``, ``at``, or nothing."""
        if place >= len(self.words) or (place and self.words[place - 1].mark):
            return ""
        return next((name for name, role in _LEADS if self._is(role, place)), "")

    def _is(self, role: str, place: int) -> bool:
        if role not in self._small:
            self._small[role] = {n for cue in self.cues.all(role) for n in range(cue.first, cue.last)}
        return place in self._small[role]

    def corrections(self, first: int, last: int) -> list[Cue]:
        """Give the words that take back, among them a plain "no"."""
        return self.cues.inside("correction", first, last) + self.cues.inside("correction-no", first, last)

    def is_a(self, concept: str | None, other: str) -> bool:
        """Tell whether a concept is another one or a special case of it."""
        seen: set[str] = set()
        level = [concept] if concept else []
        while level:
            if other in level:
                return True
            seen.update(level)
            level = [b for c in level if c in self.lexicon for b in self.lexicon[c].broader if b not in seen]
        return False

    def spoken_of(self, row: Row) -> bool:
        """Tell whether anything that a row measures is named in the recording at all."""
        if row.id not in self._spoken:
            ends = row.entry.targets if row.dimension == "distance" else ()
            self._spoken[row.id] = any(
                self.is_a(concept, of) for concept in self.count for of in (*row.entry.of, *ends)
            )
        return self._spoken[row.id]

    def clauses_between(self, one: int, two: int) -> int:
        """Count the clause boundaries between two words."""
        if not self.words:
            return 0
        top = len(self.clause) - 1
        return abs(self.clause[min(one, top)] - self.clause[min(two, top)])

    def clause_range(self, place: int) -> tuple[int, int]:
        """Give the words (half-open) of the clause of a word."""
        name = self.clause[place]
        return bisect_left(self.clause, name), bisect_right(self.clause, name)


def _head(mention: Mention, places: Places) -> Head:
    return Head(places.first(mention), places.last(mention), mention.concept, mention.kind)


def _registers(record: Record, words: Sequence[Word], places: Places) -> list[str]:
    """Give to whom each word is spoken."""
    found = ["narration"] * len(words)
    for clause in record.clauses:
        for n in range(places.first(clause.span), places.last(clause.span)):
            found[n] = clause.register_
    return found


def _clauses(record: Record, words: Sequence[Word], places: Places) -> list[int]:
    """Give the number of the clause of each word; without clauses, marks and pauses part the words."""
    if record.clauses:
        starts = sorted({places.first(clause.span) for clause in record.clauses})
        return [max(0, bisect_right(starts, n) - 1) for n in range(len(words))]
    found: list[int] = []
    number = 0
    for n, word in enumerate(words):
        if n and (words[n - 1].mark == "." or word.start_ms - words[n - 1].end_ms > _PAUSE_MS):
            number += 1
        found.append(number)
    return found
