"""Where a statement ends: evidence at each gap between words, and the best cutting of the whole stream.

Each gap has named evidence whose weights are fitted (``lexicons/weights/clauses.json``). The cutting that is chosen
has the largest sum of gap scores and of length scores: statements of two or of fifty words are rare.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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


def gap_evidence(stream: Sequence[Word], seen: Sequence[Seen], n: int) -> Evidence:
    """Give the evidence for a new statement before word ``n``."""
    word, before = stream[n], stream[n - 1]
    after = stream[n + 1] if n + 1 < len(stream) else None
    earlier = stream[n - 2] if n > 1 else None
    at, end = _name(word), _name(before)
    found: Evidence = {"gap": 1.0, f"at={at}": 1.0, f"after={end}": 1.0}
    found[f"at={at} {_name(after) if after else '$'}"] = 1.0
    found[f"after={_name(earlier) if earlier else '^'} {end}"] = 1.0
    found[f"between={end}|{at}"] = 1.0
    if word.language != before.language:
        found[f"switch to {word.language}"] = 1.0
    if earlier and earlier.language != before.language:
        found["switch just before"] = 1.0
    if after and after.language != word.language:
        found["switch just after"] = 1.0
    if word.key == before.key:
        found["doubled"] = 1.0
    if seen[n].inside:
        found["inside a term"] = 1.0
    if seen[n - 1].link and (seen[n].kind or seen[n].link):
        found["between link and thing" if seen[n].kind else "between links"] = 1.0
    if seen[n].kind:
        found[f"at kind={seen[n].kind}"] = 1.0
    for role in seen[n].cues:
        found[f"at cue={role}"] = 1.0
    for role in seen[n].ended:
        found[f"after cue={role}"] = 1.0
    return found


def _name(word: Word) -> str:
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


def cut(scores: Sequence[float], lengths: Sequence[float]) -> list[int]:
    """Give the starts of statements in the best cutting.

    Parameters
    ----------
    scores : sequence of float
        Score of a new statement before each word; the first is not read.
    lengths : sequence of float
        Score of a statement of 1, 2, … words; the last holds for all longer ones.
    """
    total = len(scores)
    if not total:
        return []
    best = [0.0] + [_NEVER] * total
    came = [0] * (total + 1)
    for end in range(1, total + 1):
        for start in range(max(0, end - _LONGEST), end):
            value = best[start] + lengths[min(end - start, len(lengths)) - 1] + (scores[start] if start else 0.0)
            if value > best[end]:
                best[end], came[end] = value, start
    starts = []
    place = total
    while place:
        place = came[place]
        starts.append(place)
    return starts[::-1]


def score(evidence: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """Give the weighted sum of evidence."""
    return sum(weights.get(name, 0.0) * value for name, value in evidence.items())
