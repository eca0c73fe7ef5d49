"""Where a statement ends: evidence at each gap between words, and the best cutting of the whole stream.

Each gap has named evidence whose weights are fitted (``lexicons/weights/clauses.json``). The cutting that is chosen
has the largest sum of gap scores and of length scores: statements of two or of fifty words are rare.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import add
from typing import Final

from otochron.text.stream import Word

Evidence = dict[str, float]

_LONGEST: Final = 60
_BREATH_MS: Final = 150
"""Shorter gaps stand between any two words."""
_LONG_PAUSE_MS: Final = 2000
_NEVER: Final = -1e9


@dataclass(frozen=True, slots=True)
class Seen:
    """What the word lists say of a word."""

    cues: tuple[str, ...] = ()
    """Roles of the cues that begin here."""
    ended: tuple[str, ...] = ()
    """Roles of the cues that end before this word."""
    inside: bool = False
    """True where a form of a concept stands on both sides of the gap before this word."""
    kind: str = ""
    """Kind of the concept that begins here."""
    link: bool = False
    """True for an article, a number or a size: it may stand in a bare noun phrase, and leads to a thing."""
    talk: bool = False
    """True for a word of a courtesy, of asking, of a filler, and for a preposition."""
    verb: bool = False
    """True for a verb that tells, or a subject."""
    grammar: tuple[str, ...] = ()
    """Roles of grammar that begin here."""
    concept: str = ""
    """The concept that begins here."""


def gap_evidence(stream: Sequence[Word], seen: Sequence[Seen], n: int) -> Evidence:
    """Give the evidence for a new statement before word ``n``."""
    low, high = max(0, n - 2), n + 2
    near = [""] * low + [name_of(word) for word in stream[low:high]]
    return dict.fromkeys(gap_marks(stream, seen, near, n), 1.0)


def gap_marks(stream: Sequence[Word], seen: Sequence[Seen], names: Sequence[str], n: int) -> list[str]:
    """Give the names of the evidence for a new statement before word ``n``, each once; ``names``: of all words."""
    word, before = stream[n], stream[n - 1]
    after = stream[n + 1] if n + 1 < len(stream) else None
    earlier = stream[n - 2] if n > 1 else None
    at, end = names[n], names[n - 1]
    found = [
        "gap",
        f"at={at}",
        f"after={end}",
        f"at={at} {names[n + 1] if after else '$'}",
        f"after={names[n - 2] if earlier else '^'} {end}",
        f"between={end}|{at}",
    ]
    if word.language != before.language:
        found.append(f"switch to {word.language}")
    if earlier and earlier.language != before.language:
        found.append("switch just before")
    if after and after.language != word.language:
        found.append("switch just after")
    if word.key == before.key:
        found.append("doubled")
    what = seen[n]
    if what.inside:
        found.append("inside a term")
    if seen[n - 1].link and (what.kind or what.link):
        found.append("between link and thing" if what.kind else "between links")
    if what.kind:
        found.append(f"at kind={what.kind}")
    if what.cues:
        found += dict.fromkeys([f"at cue={role}" for role in what.cues])
    if what.ended:
        found += dict.fromkeys([f"after cue={role}" for role in what.ended])
    return found


def name_of(word: Word) -> str:
    """Give the name of a word with its language; numbers are all one."""
    return f"{word.language}:{word.key}" if not word.key[0].isdigit() else "0"


def spoken_evidence(stream: Sequence[Word], n: int, *, timed: bool) -> Evidence:
    """Give the evidence of times, marks and cutting for a new statement before word ``n``."""
    word, before = stream[n], stream[n - 1]
    if word.glued:
        return {"glued": 1.0}
    found: Evidence = {}
    if before.mark:
        found["mark" if before.mark == "." else "comma"] = 1.0
    if word.line != before.line and not timed:
        # Where words carry times, lines are cut anywhere and say nothing.
        found["new line"] = 1.0
    if timed or word.line != before.line:
        # Inside a line without times of words every gap is made up.
        pause = word.start_ms - before.end_ms - _BREATH_MS
        found["pause"] = min(max(pause, 0), _LONG_PAUSE_MS) / 1000
    return found


def cut(
    scores: Sequence[float], lengths: Sequence[float], more: Mapping[tuple[int, int], float] | None = None
) -> list[int]:
    """Give the starts of statements in the best cutting.

    Parameters
    ----------
    scores : sequence of float
        Score of a new statement before each word; the first is not read.
    lengths : sequence of float
        Score of a statement of 1, 2, … words; the last holds for all longer ones.
    more : mapping, optional
        What a statement scores besides, by its first word and the word after its last.
    """
    besides: dict[int, list[tuple[int, float]]] = {}
    for (start, end), extra in (more or {}).items():
        besides.setdefault(end, []).append((start, extra))
    total = len(scores)
    if not total:
        return []
    # Lengths from the longest statement down, so that they stand beside the starts from the earliest on.
    down = [lengths[min(size, len(lengths)) - 1] for size in range(_LONGEST, 0, -1)]
    best = [0.0]
    """The best cutting up to each gap, with the score of a statement that begins there."""
    came = [0] * (total + 1)
    gaps = [0.0, *scores[1:], 0.0]
    for end in range(1, total + 1):
        low = max(0, end - _LONGEST)
        values = list(map(add, best[low:end], down[low - end :]))
        for start, extra in besides.get(end, ()):
            values[start - low] += extra
        value = max(values)
        came[end] = low + values.index(value)
        best.append(value + gaps[end])
    starts = []
    place = total
    while place:
        place = came[place]
        starts.append(place)
    return starts[::-1]


def score(evidence: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """Give the weighted sum of evidence."""
    return sum(weights.get(name, 0.0) * value for name, value in evidence.items())
