"""Cut spoken pieces into subtitles: at most two lines of 42 characters, one to seven seconds, no overlap.

The cut is the cheapest of all that keep the limits: a cut at the end of a statement costs nothing, one at a
comma or a pause little, one inside a statement much; so do very short and very quick subtitles. Limits of
characters and seconds: common practice of subtitling [M].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from otochron.writers.chunks import Chunk

WIDTH = 42
ROWS = 2
SHORTEST_MS = 1_000
LONGEST_MS = 7_000
_PAUSE_MS = 700
_LONG_PAUSE_MS = 2_000
_QUICK = 20.0
"""Characters a second from which a subtitle is hard to read."""
_INSIDE, _AT_COMMA, _SHORT, _TOO_QUICK, _EACH = 6.0, 2.0, 3.0, 2.0, 0.7
_SPLIT, _CROSSED, _AFTER_SMALL, _AT_SWITCH = 2.0, 0.3, 0.8, -0.5
_SMALL = 3
"""A word of so few letters mostly belongs to the next one: an article, a preposition."""


@dataclass(frozen=True)
class Cue:
    """One subtitle: rows of pieces."""

    start_ms: int
    end_ms: int
    rows: tuple[tuple[Chunk, ...], ...]


def cut(pieces: Sequence[Chunk]) -> list[Cue]:
    """Give the subtitles of the pieces, in order."""
    pieces = [part for piece in pieces for part in _short(piece)]
    total = len(pieces)
    best: list[tuple[float, int]] = [(0.0, 0)] + [(float("inf"), 0)] * total
    for last in range(1, total + 1):
        first = last - 1
        length = -1
        while first >= 0:
            length += len(pieces[first].text) + 1
            if length > WIDTH * ROWS or not _together(pieces, first, last):
                break
            if _rows(pieces[first:last]) is not None:
                cost = best[first][0] + _cost(pieces, first, last, length)
                if cost < best[last][0]:
                    best[last] = (cost, first)
            first -= 1
    cuts: list[tuple[int, int]] = []
    last = total
    while last > 0:
        cuts.append((best[last][1], last))
        last = best[last][1]
    return _timed(pieces, cuts[::-1])


def _short(piece: Chunk) -> list[Chunk]:
    """Cut a piece longer than a row."""
    if len(piece.text) <= WIDTH:
        return [piece]
    parts = [piece.text[n : n + WIDTH] for n in range(0, len(piece.text), WIDTH)]
    step = (piece.end_ms - piece.start_ms) / len(parts)
    return [
        Chunk(
            text,
            round(piece.start_ms + n * step),
            round(piece.start_ms + (n + 1) * step),
            piece.language,
            piece.voice,
            piece.ends if n == len(parts) - 1 else 0,
        )
        for n, text in enumerate(parts)
    ]


def _together(pieces: Sequence[Chunk], first: int, last: int) -> bool:
    """Tell whether the pieces may stand in one subtitle: one voice, no long pause before the second, in time."""
    if last - first == 1:
        return True
    one, two = pieces[first], pieces[first + 1]
    if one.voice != two.voice or two.start_ms - one.end_ms > _LONG_PAUSE_MS:
        return False
    return pieces[last - 1].end_ms - one.start_ms <= LONGEST_MS


def _cost(pieces: Sequence[Chunk], first: int, last: int, length: int) -> float:
    end = pieces[last - 1]
    inside = sum(1 for n in range(first, last - 1) if pieces[n].ends == 2)
    cost = _EACH + _CROSSED * inside
    if last < len(pieces):
        pause = pieces[last].start_ms - end.end_ms
        if end.ends < 2 and pause < _PAUSE_MS and pieces[last].voice == end.voice:
            cost += _AT_COMMA if end.ends else _INSIDE
            cost += _SPLIT if inside else 0
            cost += _AFTER_SMALL if len(end.text) <= _SMALL else 0
        room = pieces[last].start_ms - pieces[first].start_ms
    else:
        room = LONGEST_MS
    if room < SHORTEST_MS:
        cost += _SHORT * (2 - room / SHORTEST_MS)
    if length * 1000 > _QUICK * max(1, room):
        cost += _TOO_QUICK
    # A cut between two languages inside a statement is better than one inside a language.
    if last < len(pieces) and pieces[last].language != end.language:
        cost += _AT_SWITCH
    return cost


def _rows(pieces: Sequence[Chunk]) -> tuple[tuple[Chunk, ...], ...] | None:
    """Give the rows of a subtitle, cut where a statement ends or near the middle; None if it does not fit."""
    lengths = [len(piece.text) for piece in pieces]
    total = sum(lengths) + len(lengths) - 1
    if total <= WIDTH:
        return (tuple(pieces),)
    best: tuple[float, int] | None = None
    left = -1
    for n in range(1, len(pieces)):
        left += lengths[n - 1] + 1
        right = total - left - 1
        if left <= WIDTH and right <= WIDTH:
            cost = abs(left - right) / WIDTH - 0.6 * pieces[n - 1].ends
            cost += 0.3 * (len(pieces[n - 1].text) <= _SMALL) - 0.2 * (pieces[n - 1].language != pieces[n].language)
            if best is None or cost < best[0]:
                best = (cost, n)
    return None if best is None else (tuple(pieces[: best[1]]), tuple(pieces[best[1] :]))


def _timed(pieces: Sequence[Chunk], cuts: Sequence[tuple[int, int]]) -> list[Cue]:
    """Give each subtitle its time: from its first word, at least a second, never into the next."""
    found: list[Cue] = []
    before = 0
    for n, (first, last) in enumerate(cuts):
        start = max(before, pieces[first].start_ms)
        spoken = pieces[last - 1].end_ms
        following = pieces[cuts[n + 1][0]].start_ms if n + 1 < len(cuts) else None
        readable = start + round(1000 * sum(len(p.text) + 1 for p in pieces[first:last]) / _QUICK)
        end = max(spoken, readable, start + SHORTEST_MS)
        if following is not None:
            end = max(min(end, following), start + SHORTEST_MS)
        end = min(end, start + LONGEST_MS)
        rows = _rows(pieces[first:last])
        assert rows is not None
        found.append(Cue(start, end, rows))
        before = end
    return found
