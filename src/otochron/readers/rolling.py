"""Live captions that show old rows again: each word is kept once, where it first appeared."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from otochron.readers.pieces import Piece

_SHARE = 0.5
_LEAST = 3
_ROWS = 4
"""Live captions show two to four rows."""


def unroll(pieces: Sequence[Piece]) -> list[Piece]:
    """Drop the rows that a cue repeats from the cue before, in files that do so throughout.

    A file counts as rolling if at least half of its neighbouring cues (and three of them) begin with whole
    rows of the cue before and either show several rows or grow by further words. A surgeon who says
    "suction" in two cues is thus never taken for a repeated caption.
    """
    ordered = sorted((piece for piece in pieces if piece.text.strip()), key=lambda piece: piece.start_ms)
    repeats = [_repeated(before.text, piece.text) for before, piece in pairwise(ordered)]
    rolling = sum(1 for _, is_rolling in repeats if is_rolling)
    if rolling < _LEAST or rolling < _SHARE * len(repeats):
        return list(pieces)
    kept = ordered[:1]
    for piece, (count, _) in zip(ordered[1:], repeats, strict=True):
        rest = piece.without_head(_place_of_word(piece.text, count)) if count else piece
        if rest.text.strip():
            kept.append(rest)
    return kept


def _repeated(before: str, now: str) -> tuple[int, bool]:
    """Count the first words of ``now`` that are the last whole rows of ``before``; tell if it rolls."""
    rows = [row.split() for row in before.split("\n")[-_ROWS:] if row.strip()]
    now_rows = sum(1 for row in now.split("\n")[:_ROWS] if row.strip())
    for first in range(len(rows)):
        tail = [word for row in rows[first:] for word in row]
        head = now.split(None, len(tail))
        if head[: len(tail)] == tail:
            return len(tail), len(head) > len(tail) or len(rows) > 1 or now_rows > 1
    return 0, False


def _place_of_word(text: str, count: int) -> int:
    """Give the place of the word after the first ``count``."""
    rest = text.split(None, count)
    return len(text) - len(rest[count]) if len(rest) > count else len(text)
