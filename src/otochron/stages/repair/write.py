"""Write verdicts into the record: new texts of lines, and repairs from which the heard words come back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from otochron.lexicon import Lexicon
from otochron.model import Line, Reason, Record, Repair
from otochron.stages.repair.judge import Verdict
from otochron.stages.repair.windows import protected
from otochron.text.ngrams import Ngrams
from otochron.text.stream import Word


@dataclass
class _Piece:
    """The part of a verdict that lies in one line; places count in ``heard``."""

    line: str
    start: int
    end: int
    text: str
    verdict: Verdict
    continues: str | None
    shifted: list[int] = field(default_factory=list)

    @property
    def id(self) -> str:
        return f"repair-{self.line}-{self.start}"


def write_repairs(
    record: Record, stream: Sequence[Word], verdicts: Sequence[Verdict], lexicon: Lexicon, ngrams: Ngrams
) -> Record:
    """Give the record with its lines repaired and its repairs listed, in spoken order."""
    heard = {line.id: line.heard for line in record.lines}
    by_line: dict[str, list[_Piece]] = defaultdict(list)
    for verdict in verdicts:
        for piece in _pieces(verdict, stream, heard, lexicon):
            by_line[piece.line].append(piece)
    lines: list[Line] = []
    repairs: list[Repair] = []
    for line in record.lines:
        pieces = by_line.get(line.id)
        if not pieces:
            lines.append(line)
            continue
        text, found = _rewrite(line, pieces, ngrams)
        repairs += found
        lines.append(line if text == line.text else line.evolve(text=text, languages=()))
    stale = any(old is not new for old, new in zip(record.lines, lines, strict=True))
    changes = {"lines": tuple(lines), "repairs": tuple(repairs)}
    return record.evolve(**changes, clauses=()) if stale else record.evolve(**changes)


def _pieces(verdict: Verdict, stream: Sequence[Word], heard: dict[str, str], lexicon: Lexicon) -> Iterator[_Piece]:
    near = verdict.candidate.near
    said = stream[near.first : near.last]
    text = _spelling(near.first, verdict, stream, lexicon)
    first: str | None = None
    for line in dict.fromkeys(word.line for word in said):
        here = [word for word in said if word.line == line]
        start, end = here[0].start, here[-1].end
        if first is not None:
            rest = heard[line][end:]
            end += len(rest) - len(rest.lstrip())
        piece = _Piece(line, start, end, text if first is None else "", verdict, first)
        first = first or piece.id
        yield piece


def _spelling(first: int, verdict: Verdict, stream: Sequence[Word], lexicon: Lexicon) -> str:
    """Give the form to write: plural after a plural word, a capital where one was heard at a start."""
    target = verdict.candidate.near.target
    before = stream[first - 1] if first else None
    text = target.text
    if before is not None and target.plural and before.key in protected(lexicon, "plural-before"):
        text = target.plural
    opens = before is None or before.mark == "." or before.line != stream[first].line
    if opens and stream[first].text[0].isupper():
        text = text[0].upper() + text[1:]
    return text


def _rewrite(line: Line, pieces: Sequence[_Piece], ngrams: Ngrams) -> tuple[str, list[Repair]]:
    parts: list[str] = []
    repairs: list[Repair] = []
    done = length = 0
    for piece in sorted(pieces, key=lambda p: p.start):
        verdict = piece.verdict
        applied = verdict.decision == "applied"
        parts.append(line.heard[done : piece.start])
        length += piece.start - done
        written = piece.text if applied else line.heard[piece.start : piece.end]
        parts.append(written)
        concepts = verdict.candidate.near.target.concepts
        repairs.append(
            Repair(
                id=piece.id,
                line=line.id,
                heard_start=piece.start,
                heard_end=piece.end,
                heard=line.heard[piece.start : piece.end],
                text_start=length,
                text_end=length + len(written),
                text=piece.text,
                concept=max(concepts, key=lambda c: (ngrams.concepts.get(c, 0), c)),
                language=verdict.candidate.near.target.language,
                score=verdict.score,
                decision=verdict.decision,
                reasons=tuple(Reason(name=name, value=value) for name, value in verdict.reasons),
                continues=piece.continues,
                alternatives=verdict.alternatives,
            )
        )
        length += len(written)
        done = piece.end
    parts.append(line.heard[done:])
    return "".join(parts), repairs


def heard_again(line: Line, repairs: Sequence[Repair]) -> str:
    """Give the heard words of a line from its text and the record's repairs alone."""
    text = line.text
    for repair in sorted(repairs, key=lambda r: r.text_start, reverse=True):
        if repair.line == line.id and repair.decision == "applied":
            text = text[: repair.text_start] + repair.heard + text[repair.text_end :]
    return text
