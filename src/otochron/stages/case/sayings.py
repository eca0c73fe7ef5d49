"""Cautions for viewers, and reasons, in the surgeon's own words. Words: ``cautions.toml``, ``reasons.toml``."""

from __future__ import annotations

from otochron.lexicon import Hit
from otochron.lexicon.reading import Spot
from otochron.model import Saying
from otochron.stages.case.scene import Scene

_ABOUT = frozenset(
    {
        "structure",
        "landmark",
        "instrument",
        "implant",
        "graft",
        "finding",
        "disease",
        "complication",
        "procedure",
        "material",
        "drug",
        "packing",
        "step",
    }
)
_AHEAD, _BEHIND = 22, 10
_SAME_MS = 15_000
_BREAKS = 5


def find_cautions(scene: Scene) -> tuple[Saying, ...]:
    """Give each warning with what it is about; warnings close together about the same thing are one."""
    return _sayings(scene, scene.reading.hits("caution"), _BEHIND)


def find_reasons(scene: Scene) -> tuple[Saying, ...]:
    """Give each reason with what it is about."""
    return _sayings(scene, scene.reading.hits("reason"), 14)


def _sayings(scene: Scene, hits: list[Hit], behind: int) -> tuple[Saying, ...]:
    found: list[Saying] = []
    for hit in hits:
        if scene.reading.register(hit.first) == "aside":
            continue
        first, last = _stretch(scene, hit, behind)
        spots = [s for s in scene.reading.among(first, last) if scene.kind(s) in _ABOUT and s.concept]
        if not spots:
            continue
        about = _names(sorted(spots, key=lambda s: (abs(s.first - hit.first), s.first)))
        span = scene.reading.span(first, last)
        if (
            found
            and span.start_ms - found[-1].evidence[-1].end_ms < _SAME_MS
            and set(about) & set(found[-1].about)
        ):
            merged = _names_of([*found[-1].about, *about])
            found[-1] = found[-1].evolve(about=merged, evidence=(*found[-1].evidence, span))
            continue
        found.append(
            Saying(
                concept=about[0],
                side=scene.side_at(hit.first),
                status="general" if scene.reading.register(hit.first) == "teaching" else "affirmed",
                evidence=(span,),
                text=scene.reading.text(first, last),
                start_ms=span.start_ms,
                language=scene.reading.words[hit.first].language,
                about=about,
            )
        )
    return tuple(found)


def _stretch(scene: Scene, hit: Hit, behind: int) -> tuple[int, int]:
    """Give the words of a saying: from the statement that leads to it to the end of the one that it makes."""
    reading = scene.reading
    first = hit.first
    while first > 0 and hit.first - first < behind and reading.breaks(first - 1, hit.first) <= 2:
        first -= 1
    last = hit.last
    while (
        last < len(reading.words)
        and last - hit.last < _AHEAD
        and reading.breaks(hit.last - 1, last) <= _BREAKS
    ):
        last += 1
    return first, last


def _names(spots: list[Spot]) -> tuple[str, ...]:
    return _names_of([s.concept for s in spots if s.concept])


def _names_of(names: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))
