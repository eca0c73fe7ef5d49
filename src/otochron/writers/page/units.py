"""Cut the speech for reading: parts (steps), paragraphs, units (a statement on one line), runs of one marking.

A unit is what is lit while it is spoken and what a click moves to. Units start at lines, clauses and steps;
paragraphs at steps, voices, pauses, and after some fifty words.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from otochron.model import Lang, Line, Record, Span, Step
from otochron.text.stream import Word, words

_PAUSE_MS = 2_500
_ENOUGH_WORDS = 45
_TOO_MANY_WORDS = 110


@dataclass(frozen=True, slots=True)
class Run:
    """Text with one marking; the numbers are indices in the record."""

    text: str
    language: Lang
    mention: int | None = None
    repair: int | None = None
    size: int | None = None
    unclear: bool = False
    closes: bool = True
    """False where the mention goes on in the next run."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A statement, as far as it stands on one line."""

    start_ms: int
    end_ms: int
    register: str
    voice: str | None
    opens: bool
    """True where a clause starts here."""
    step: int | None
    words: int
    runs: tuple[Run, ...]


@dataclass(slots=True)
class Paragraph:
    """Units that are read together."""

    units: list[Unit] = field(default_factory=list)
    words: int = 0


@dataclass(slots=True)
class Part:
    """The paragraphs of one step, or what is said between steps."""

    step: int | None
    paragraphs: list[Paragraph] = field(default_factory=list)


def parts(record: Record) -> list[Part]:
    """Give the whole speech of a record in reading order."""
    found: list[Part] = []
    last: Unit | None = None
    for unit in _units(record):
        fresh = not found or found[-1].step != unit.step
        if fresh:
            found.append(Part(unit.step))
        paragraphs = found[-1].paragraphs
        if fresh or last is None or _breaks(paragraphs[-1], last, unit):
            paragraphs.append(Paragraph())
        paragraphs[-1].units.append(unit)
        paragraphs[-1].words += unit.words
        last = unit
    return found


def _breaks(paragraph: Paragraph, last: Unit, unit: Unit) -> bool:
    return (
        unit.voice != last.voice
        or unit.start_ms - last.end_ms >= _PAUSE_MS
        or (unit.opens and paragraph.words >= _ENOUGH_WORDS)
        or paragraph.words >= _TOO_MANY_WORDS
    )


def done_steps(record: Record) -> list[tuple[int, Step]]:
    """Give the steps that were done, with their indices, in time order."""
    return sorted(((n, s) for n, s in enumerate(record.steps) if s.status == "done"), key=lambda p: p[1].start_ms)


def _units(record: Record) -> Iterable[Unit]:
    marks = _Marks(record)
    steps = done_steps(record)
    starts = [step.start_ms for _, step in steps]
    by_line: dict[str, list[Word]] = {}
    for word in words(record):
        by_line.setdefault(word.line, []).append(word)
    step = -1
    for line in record.lines:
        spoken = by_line.get(line.id, [])
        cuts = {0: "", **marks.clauses.get(line.id, {})}
        for word in spoken:
            entered = step
            while entered + 1 < len(steps) and starts[entered + 1] <= word.start_ms:
                entered += 1
            ended = step >= 0 and step == entered and word.start_ms >= steps[step][1].end_ms > _before(word, spoken)
            if entered != step or ended:
                cuts.setdefault(word.start, "")
            step = entered
        yield from _line_units(line, spoken, sorted(cuts), marks, steps)


def _before(word: Word, spoken: Sequence[Word]) -> int:
    place = word.i - spoken[0].i
    return spoken[place - 1].start_ms if place else -1


def _line_units(
    line: Line, spoken: Sequence[Word], cuts: Sequence[int], marks: _Marks, steps: Sequence[tuple[int, Step]]
) -> Iterable[Unit]:
    offsets = [word.start for word in spoken]
    clauses = marks.clauses.get(line.id, {})
    for start, end in zip(cuts, [*cuts[1:], len(line.text)], strict=True):
        if end <= start:
            continue
        first, last = bisect_left(offsets, start), bisect_left(offsets, end)
        inside = spoken[first:last]
        start_ms = inside[0].start_ms if inside else line.start_ms
        yield Unit(
            start_ms=start_ms,
            end_ms=inside[-1].end_ms if inside else line.end_ms,
            register=clauses.get(start) or marks.register_at(line.id, start),
            voice=line.voice,
            opens=start in clauses,
            step=_step_at(steps, start_ms),
            words=len(inside),
            runs=tuple(marks.runs(line, start, end)),
        )


def _step_at(steps: Sequence[tuple[int, Step]], ms: int) -> int | None:
    n = bisect_left(steps, ms + 1, key=lambda pair: pair[1].start_ms) - 1
    return steps[n][0] if n >= 0 and ms < steps[n][1].end_ms else None


_Stretch = tuple[int, int, int]
"""Start and end in the line (half-open), index in the record."""


class _Marks:
    """What stands where, by line."""

    def __init__(self, record: Record) -> None:
        self._order = {line.id: n for n, line in enumerate(record.lines)}
        self._lines = record.lines
        self.mentions = self._by_line((n, m) for n, m in enumerate(record.mentions))
        self.sizes = self._by_line((n, m) for n, m in enumerate(record.measurements))
        self.unclear = self._by_line((n, u.span) for n, u in enumerate(record.unclear))
        self.repairs: dict[str, list[_Stretch]] = {}
        for n, repair in enumerate(record.repairs):
            self.repairs.setdefault(repair.line, []).append((repair.text_start, repair.text_end, n))
        self.clauses: dict[str, dict[int, str]] = {}
        carried: dict[str, str] = {}
        for clause in record.clauses:
            span = clause.span
            self.clauses.setdefault(span.line, {})[span.start] = clause.register_
            for line in self._lines[self._order[span.line] + 1 : self._order[span.to_line] + 1]:
                carried[line.id] = clause.register_
        self._carried = carried

    def register_at(self, line: str, start: int) -> str:
        """Give the register of the clause that runs on at a place."""
        before = [at for at in self.clauses.get(line, {}) if at <= start]
        return self.clauses[line][max(before)] if before else self._carried.get(line, "narration")

    def _by_line(self, spans: Iterable[tuple[int, Span]]) -> dict[str, list[_Stretch]]:
        found: dict[str, list[_Stretch]] = {}
        for n, span in spans:
            first, last = self._order[span.line], self._order[span.to_line]
            for line in self._lines[first : last + 1]:
                start = span.start if line.id == span.line else 0
                end = span.end if line.id == span.to_line else len(line.text)
                if end > start:
                    found.setdefault(line.id, []).append((start, end, n))
        return found

    def runs(self, line: Line, start: int, end: int) -> Iterable[Run]:
        """Cut a stretch of a line wherever a marking starts or ends."""
        kinds = [found.get(line.id, []) for found in (self.mentions, self.repairs, self.sizes, self.unclear)]
        edges = {start, end}
        for stretches in [*kinds, [(s.start, s.end, 0) for s in line.languages]]:
            edges.update(edge for one, two, _ in stretches for edge in (one, two) if start < edge < end)
        places = sorted(edges)
        for one, two in pairwise(places):
            mention, repair, size, unclear = (_over(stretches, one) for stretches in kinds)
            closes = mention is None or _over(self.mentions[line.id], two) != mention
            yield Run(line.text[one:two], _language(line, one), mention, repair, size, unclear is not None, closes)


def _over(stretches: Sequence[_Stretch], place: int) -> int | None:
    return next((n for start, end, n in stretches if start <= place < end), None)


def _language(line: Line, place: int) -> Lang:
    before = [span for span in line.languages if span.start <= place]
    return before[-1].language if before else (line.languages[0].language if line.languages else "en")
