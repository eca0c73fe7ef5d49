"""Spoken text cut at its spaces: pieces with a time, a language, a voice, and whether a statement may end after."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

from otochron.model import Lang, Line, Record, Repair
from otochron.text.stream import heard_words, words

_PIECE = re.compile(r"\S+")
_STOP = re.compile(r"[.?!…][\"'»”’)\]]*$")
_COMMA = re.compile(r"[,;:][\"'»”’)\]]*$")


@dataclass(frozen=True, slots=True)
class Chunk:
    """One piece between two spaces. ``ends`` is 2 after a sentence or clause, 1 after a comma, else 0."""

    text: str
    start_ms: int
    end_ms: int
    language: Lang
    voice: str | None
    ends: int


def chunks(record: Record, *, heard: bool = False) -> list[Chunk]:
    """Give the pieces of a record in order.

    Parameters
    ----------
    record : Record
        Needs ``lines``; clauses tell where statements end.
    heard : bool
        The words as the recogniser wrote them.
    """
    times: dict[str, list[tuple[int, int, int, int]]] = {}
    for word in heard_words(record) if heard else words(record):
        times.setdefault(word.line, []).append((word.start, word.end, word.start_ms, word.end_ms))
    clause_ends: dict[str, set[int]] = {}
    for clause in record.clauses:
        clause_ends.setdefault(clause.span.to_line, set()).add(clause.span.end)
    repairs: dict[str, list[Repair]] = {}
    for repair in record.repairs:
        if repair.decision == "applied":
            repairs.setdefault(repair.line, []).append(repair)
    found: list[Chunk] = []
    for line in record.lines:
        back = _Back(repairs.get(line.id, []) if heard else [])
        found += _of_line(line, times.get(line.id, []), clause_ends.get(line.id, set()), back, heard=heard)
    return found


class _Back:
    """Finds the place in ``text`` of a place in ``heard``."""

    def __init__(self, repairs: list[Repair]) -> None:
        self.repairs = sorted(repairs, key=lambda r: r.heard_start)

    def __call__(self, place: int) -> int:
        shift = 0
        for repair in self.repairs:
            if place < repair.heard_start:
                break
            if place <= repair.heard_end:
                return repair.text_end if place == repair.heard_end else repair.text_start
            shift = repair.text_end - repair.heard_end
        return place + shift


def _of_line(
    line: Line, times: list[tuple[int, int, int, int]], clause_ends: set[int], back: _Back, *, heard: bool
) -> Iterator[Chunk]:
    text = line.heard if heard else line.text
    starts = [t[0] for t in times]
    for match in _PIECE.finditer(text):
        start, end = match.span()
        first, last = bisect_right(starts, start - 1), bisect_right(starts, end - 1)
        inside = times[first:last]
        if inside:
            start_ms, end_ms, ends_at = inside[0][2], inside[-1][3], inside[-1][1]
        else:
            near = times[first - 1][3] if first else line.start_ms
            start_ms, end_ms, ends_at = near, near, end
        yield Chunk(
            text=match.group(),
            start_ms=start_ms,
            end_ms=max(start_ms, end_ms),
            language=_language(line, back(inside[-1][0] if inside else start)),
            voice=line.voice,
            ends=2
            if back(ends_at) in clause_ends or _STOP.search(match.group())
            else 1
            if _COMMA.search(match.group())
            else 0,
        )


def _language(line: Line, place: int) -> Lang:
    for span in line.languages:
        if span.start <= place < span.end:
            return span.language
    return line.languages[-1].language if line.languages else "en"
