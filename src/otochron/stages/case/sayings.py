"""Cautions for viewers, and reasons, in the surgeon's own words. Words: ``cautions.toml``, ``reasons.toml``."""

from __future__ import annotations

from otochron.lexicon import Hit
from otochron.lexicon.reading import Spot
from otochron.model import Saying
from otochron.stages.case.scene import Scene

_ABOUT = frozenset(
    {"structure", "landmark", "instrument", "implant", "graft", "finding", "disease", "complication", "procedure"}
    | {"material", "drug", "packing"}
)
_AHEAD, _BEHIND = 16, 14
_SAME_MS = 6_000
_HEAD, _TAIL = 2, 4
_LONGEST = 45


def find_cautions(scene: Scene) -> tuple[Saying, ...]:
    """Give each warning with what it is about.

    Notes
    -----
    A warning has a word of warning; in words to viewers, also "never", "always", and "if you …" are warnings,
    but not what would have been done in another case.
    """
    hits = list(scene.reading.hits("caution"))
    hits += [
        hit
        for hit in scene.reading.hits("condition", "habit-adverb")
        if scene.reading.register(hit.first) == "teaching" and not scene.is_supposed(hit.first, hit.last + _AHEAD)
    ]
    return _sayings(scene, sorted(hits, key=lambda h: (h.first, -h.last)))


def find_reasons(scene: Scene) -> tuple[Saying, ...]:
    """Give each reason with what it is about."""
    return _sayings(scene, scene.reading.hits("reason"))


def _sayings(scene: Scene, hits: list[Hit]) -> tuple[Saying, ...]:
    found: list[Saying] = []
    last_ms = 0
    for hit in hits:
        if scene.reading.register(hit.first) == "aside":
            continue
        first, last = _stretch(scene, hit)
        spots = [s for s in scene.reading.among(first, last) if scene.kind(s) in _ABOUT and s.concept]
        if not spots:
            continue
        about = _names(sorted(spots, key=lambda s: (abs(s.first - hit.first), s.first)))
        quoted = _quoted(scene, hit)
        span = scene.reading.span(*quoted)
        start_ms = scene.reading.words[hit.first].start_ms
        if found and start_ms - last_ms < _SAME_MS and set(about) & set(found[-1].about):
            last_ms = start_ms
            merged = _names_of([*found[-1].about, *about])
            found[-1] = found[-1].evolve(about=merged, evidence=(*found[-1].evidence, span))
            continue
        last_ms = start_ms
        found.append(
            Saying(
                concept=about[0],
                side=scene.side_at(hit.first),
                status="general" if scene.reading.register(hit.first) == "teaching" else "affirmed",
                evidence=(span,),
                text=scene.reading.text(*quoted),
                start_ms=start_ms,
                language=scene.reading.words[hit.first].language,
                about=about,
            )
        )
    return tuple(found)


def _stretch(scene: Scene, hit: Hit) -> tuple[int, int]:
    """Give the words of a saying: its clause and the one before, to the end of the next one, within reach."""
    pieces = scene.reading.pieces
    n = max(0, scene.reading.piece_number(hit.first))
    first = pieces[max(0, n - 1)].first if pieces else 0
    last = pieces[min(len(pieces) - 1, n + 1)].last if pieces else len(scene.reading.words)
    return max(first, hit.first - _BEHIND), min(last, hit.last + _AHEAD)


def _quoted(scene: Scene, hit: Hit) -> tuple[int, int]:
    """Give the words to quote: whole clauses, so that no phrase is cut.

    A cue at the head of its clause ("because …") leans on the one before, one at its end on the one after.
    """
    pieces = scene.reading.pieces
    n = scene.reading.piece_number(hit.first)
    if not 0 <= n < len(pieces):
        return _stretch(scene, hit)
    first, last = pieces[n].first, pieces[n].last
    if n > 0 and hit.first - first < _HEAD:
        first = pieces[n - 1].first
    if n + 1 < len(pieces) and last - hit.last < _TAIL:
        last = pieces[n + 1].last
    return (first, last) if last - first <= _LONGEST else _stretch(scene, hit)


def _names(spots: list[Spot]) -> tuple[str, ...]:
    return _names_of([s.concept for s in spots if s.concept])


def _names_of(names: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))
