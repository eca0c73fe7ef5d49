"""Short ways to read a text and to look at what came out."""

from __future__ import annotations

from otochron.model import Line, Record
from otochron.readers import read_bytes


def read(text: str, reader: str | None = None) -> Record:
    return read_bytes(text.encode(), "test", reader)


def rows(record: Record) -> list[tuple[int, int, str]]:
    """Start, end and words of each line."""
    return [(line.start_ms, line.end_ms, line.heard) for line in record.lines]


def given(line: Line) -> list[tuple[str, str]]:
    """Words and language of each given stretch."""
    return [(line.heard[s.start : s.end], s.language) for s in line.given]


def timed(line: Line) -> list[tuple[str, int, int]]:
    """Letters and times of each timed word or stretch."""
    return [(line.heard[w.start : w.end], w.start_ms, w.end_ms) for w in line.words]
