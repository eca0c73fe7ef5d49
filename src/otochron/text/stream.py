"""One stream of words per recording, whatever the cutting of its lines.

Stages look at words, never at lines: a line may be cut anywhere, even inside a number or a term. A word
knows its line, its offsets there, and its time; where the input carries no times of words, they are
interpolated by characters inside the line, and ``recording.time_basis`` says so.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from otochron.model import Lang, Line, Record, Repair, Span
from otochron.text.normal import key
from otochron.text.splitting import offsets as offsets_of
from otochron.text.splitting import split_words

__all__ = [
    "Places",
    "Word",
    "but_for_languages",
    "heard_words",
    "keep_words",
    "line_order",
    "span_of",
    "split_words",
    "surface",
    "with_languages",
    "words",
]

_STOP = re.compile(r"[.?!;:…]")


@dataclass(frozen=True, slots=True)
class Word:
    """One spoken word. ``start`` and ``end`` count code points in the line (half-open)."""

    i: int
    text: str
    key: str
    line: str
    start: int
    end: int
    start_ms: int
    end_ms: int
    language: Lang
    p: float | None = None
    mark: str = ""
    """What punctuation follows: ``"."`` for a sentence mark, ``","`` for a comma, ``""`` for none."""
    glued: bool = False
    """True where no space stands before it: after an elision, a hyphen, or a digit."""
    asked: bool = False
    """True where a question mark follows."""


def _mark(gap: str) -> str:
    if _STOP.search(gap):
        return "."
    return "," if "," in gap else ""


_made: OrderedDict[tuple[int, int, bool], tuple[tuple[Line, ...], tuple[Repair, ...], tuple[Word, ...]]] = OrderedDict()
_KEPT = 4


def _stream(lines: tuple[Line, ...], repairs: tuple[Repair, ...], heard: bool) -> tuple[Word, ...]:
    """Make the stream once per pair of objects: stages ask for it again and again."""
    kept = _made.get((id(lines), id(repairs), heard))
    if kept is not None and kept[0] is lines and kept[1] is repairs:
        return kept[2]
    stream = _make_stream(lines, repairs, heard)
    _keep(lines, repairs, stream, heard=heard)
    return stream


def _keep(lines: tuple[Line, ...], repairs: tuple[Repair, ...], stream: tuple[Word, ...], *, heard: bool) -> None:
    _made[id(lines), id(repairs), heard] = (lines, repairs, stream)
    while len(_made) > _KEPT:
        _made.popitem(last=False)


def forget_older() -> None:
    """Let go of the streams of texts before the last one, and of their lines."""
    while len(_made) > 1:
        _made.popitem(last=False)
    _alike.clear()


def _make_stream(lines: tuple[Line, ...], repairs: tuple[Repair, ...], heard: bool) -> tuple[Word, ...]:
    by_line: dict[str, list[Repair]] = {}
    for repair in repairs:
        if repair.decision == "applied":
            by_line.setdefault(repair.line, []).append(repair)
    found: list[Word] = []
    spoken = {} if heard else _repair_times(lines, by_line)
    for line in lines:
        text = line.heard if heard else line.text
        offsets = offsets_of(text)
        times = _times(line, text, by_line.get(line.id, []) if not heard else [], spoken)
        spans = line.languages if not heard or line.text == line.heard else ()
        tongues = [(s.start, s.end, s.language) for s in spans]
        nexts = [*(start for start, _ in offsets), len(text)][1:]
        before = -1
        for (start, end), following, (start_ms, end_ms, p) in zip(offsets, nexts, times, strict=True):
            gap = text[end:following]
            plain = gap in ("", " ")
            said = text[start:end]
            found.append(
                Word(
                    len(found),
                    said,
                    key(said),
                    line.id,
                    start,
                    end,
                    start_ms,
                    end_ms,
                    _language_at(tongues, start),
                    p,
                    "" if plain else _mark(gap),
                    before == start or (start > 0 and text[start - 1] in "-‐‑"),
                    not plain and "?" in gap,
                )
            )
            before = end
    return tuple(found)


def _times(
    line: Line, text: str, repairs: list[Repair], spoken: dict[str, _Spoken]
) -> Iterable[tuple[int, int, float | None]]:
    """Give start, end (ms) and probability of each word of a line."""
    if repairs or line.words:
        clock = _Clock(line, repairs, spoken)
        return [clock.times(start, end) for start, end in offsets_of(text)]
    first, took, length = line.start_ms, line.end_ms - line.start_ms, max(1, len(line.heard))
    return [
        (round(first + min(1.0, start / length) * took), round(first + min(1.0, end / length) * took), None)
        for start, end in offsets_of(text)
    ]


_Spoken = tuple[int, int, float | None]
"""Start and end (ms) of the heard words of a repair, and the least of their probabilities."""


def _repair_times(lines: tuple[Line, ...], by_line: dict[str, list[Repair]]) -> dict[str, _Spoken]:
    """Give when the heard words of each repair were spoken, over line ends too."""
    found: dict[str, _Spoken] = {}
    for line in lines:
        clock = _Clock(line, [], {})
        for repair in by_line.get(line.id, ()):
            start_ms, _, p = clock.times(repair.heard_start, repair.heard_start + 1)
            _, end_ms, q = clock.times(max(repair.heard_start, repair.heard_end - 1), repair.heard_end)
            known = [value for value in (p, q, clock.least(repair.heard_start, repair.heard_end)) if value is not None]
            name = repair.continues or repair.id
            if name in found:
                before = found[name]
                start_ms = before[0]
                known += [before[2]] if before[2] is not None else []
            found[name] = start_ms, max(start_ms, end_ms), min(known) if known else None
    return found


def _language_at(spans: Sequence[tuple[int, int, Lang]], place: int) -> Lang:
    for start, end, language in spans:
        if start <= place < end:
            return language
    return "en"


class _Clock:
    """Times of words of one line, from the recogniser where it gave them, else by characters."""

    def __init__(self, line: Line, repairs: list[Repair], spoken: dict[str, _Spoken]) -> None:
        self.line = line
        self.spoken = spoken
        self.repairs = sorted(repairs, key=lambda r: r.text_start)
        self.starts = [w.start for w in line.words]

    def heard_range(self, start: int, end: int) -> tuple[float, float]:
        """Map a stretch of ``text`` to a stretch of ``heard``; inside a repair, in proportion."""
        return self._to_heard(start), self._to_heard(end)

    def _to_heard(self, place: int) -> float:
        shift = 0
        for repair in self.repairs:
            if place < repair.text_start:
                break
            if place <= repair.text_end and repair.text_end > repair.text_start:
                share = (place - repair.text_start) / (repair.text_end - repair.text_start)
                return repair.heard_start + share * (repair.heard_end - repair.heard_start)
            shift = repair.heard_end - repair.text_end
        return place + shift

    def times(self, start: int, end: int) -> tuple[int, int, float | None]:
        """Give start, end (ms) and the recogniser's probability of a stretch of ``text``.

        Inside a repair the time of its heard words is shared by the letters of the new ones.
        """
        for repair in self.repairs:
            if repair.text_start <= start and end <= repair.text_end and repair.id in self.spoken:
                first_ms, last_ms, p = self.spoken[repair.id]
                inside = repair.text_start, repair.text_end, first_ms, last_ms
                return _inside(*inside, start), _inside(*inside, end), p
        a, b = self.heard_range(start, end)
        first = self._word_at(a)
        last = self._word_at(max(a, b - 0.5))
        if first is None or last is None:
            return self._at(a), self._at(b), None
        one, two = self.line.words[first], self.line.words[last]
        probabilities = [w.p for w in self.line.words[first : last + 1] if w.p is not None]
        return (
            _inside(one.start, one.end, one.start_ms, one.end_ms, a),
            _inside(two.start, two.end, two.start_ms, two.end_ms, b),
            min(probabilities) if probabilities else None,
        )

    def least(self, start: int, end: int) -> float | None:
        """Give the least probability of the words of a stretch of ``heard``."""
        known = [w.p for w in self.line.words if w.p is not None and w.start < end and start < w.end]
        return min(known) if known else None

    def _word_at(self, place: float) -> int | None:
        n = bisect_right(self.starts, place) - 1
        return n if n >= 0 and place < self.line.words[n].end + 0.01 else None

    def _at(self, place: float) -> int:
        length = max(1, len(self.line.heard))
        share = min(1.0, max(0.0, place / length))
        return round(self.line.start_ms + share * (self.line.end_ms - self.line.start_ms))


def _inside(start: int, end: int, start_ms: int, end_ms: int, place: float) -> int:
    share = min(1.0, max(0.0, (place - start) / max(1, end - start)))
    return round(start_ms + share * (end_ms - start_ms))


def heard_words(record: Record) -> tuple[Word, ...]:
    """Give the words as the recogniser wrote them."""
    if not any(r.decision == "applied" for r in record.repairs) and all(x.text == x.heard for x in record.lines):
        return words(record)
    return _stream(record.lines, (), heard=True)


def words(record: Record) -> tuple[Word, ...]:
    """Give the words after repair."""
    return _stream(record.lines, record.repairs, heard=False)


def keep_words(record: Record, stream: tuple[Word, ...]) -> None:
    """Keep the words of a record that differ from words made before in their languages alone."""
    _keep(record.lines, record.repairs, stream, heard=False)


def span_of(stream: Sequence[Word], first: int, last: int) -> Span:
    """Give the span of the words ``first`` to ``last`` (half-open) of a stream."""
    one, two = stream[first], stream[last - 1]
    return Span(
        line=one.line,
        start=one.start,
        to_line=two.line,
        end=two.end,
        start_ms=min(one.start_ms, two.end_ms),
        end_ms=max(one.start_ms, two.end_ms),
    )


_ordered: list[tuple[tuple[Line, ...], dict[str, int]]] = []


def line_order(lines: tuple[Line, ...]) -> dict[str, int]:
    """Give the place of each line by its id; made once per lines, as the stream is."""
    if not _ordered or _ordered[0][0] is not lines:
        _ordered[:] = [(lines, {line.id: n for n, line in enumerate(lines)})]
    return _ordered[0][1]


def surface(record: Record, span: Span) -> str:
    """Give the words of a span as they stand in ``text``, joined by a space across lines."""
    order = line_order(record.lines)
    first, last = order[span.line], order[span.to_line]
    if first == last:
        return record.lines[first].text[span.start : span.end]
    parts = [record.lines[first].text[span.start :]]
    parts += [line.text for line in record.lines[first + 1 : last]]
    parts.append(record.lines[last].text[: span.end])
    return " ".join(part.strip() for part in parts if part.strip())


class Places:
    """Finds words of a stream by place: one index per stream, so that a span costs a look-up."""

    def __init__(self, stream: Sequence[Word], lines: Sequence[Line]) -> None:
        self._order = {line.id: n for n, line in enumerate(lines)}
        self._keys = [(self._order[w.line], w.start) for w in stream]

    def first(self, span: Span) -> int:
        """Index of the first word that starts at or after the span's start."""
        n = bisect_right(self._keys, (self._order[span.line], span.start - 1))
        return n

    def last(self, span: Span) -> int:
        """Index after the last word that starts before the span's end."""
        return bisect_right(self._keys, (self._order[span.to_line], span.end - 1))


_alike: OrderedDict[int, tuple[Sequence[Word], Sequence[Word]]] = OrderedDict()


def with_languages(stream: Sequence[Word], languages: Sequence[Lang]) -> tuple[Word, ...]:
    """Give the stream with the language of each word set."""
    found = tuple(
        word if word.language == language else _spoken_in(word, language)
        for word, language in zip(stream, languages, strict=True)
    )
    _alike[id(found)] = found, but_for_languages(stream)
    while len(_alike) > _KEPT:
        _alike.popitem(last=False)
    return found


def but_for_languages(stream: Sequence[Word]) -> Sequence[Word]:
    """Give the stream from which one was made that differs in languages alone; else the stream itself."""
    kept = _alike.get(id(stream))
    return kept[1] if kept is not None and kept[0] is stream else stream


def _spoken_in(word: Word, language: Lang) -> Word:
    return Word(
        word.i,
        word.text,
        word.key,
        word.line,
        word.start,
        word.end,
        word.start_ms,
        word.end_ms,
        language,
        word.p,
        word.mark,
        word.glued,
        word.asked,
    )
