"""What is asked of the staff. Words: ``lexicons/cues/requests.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.model import Request, Side
from otochron.stages.case.items import codes
from otochron.stages.case.rules import named, rules
from otochron.stages.case.scene import Scene

_NEAR = 6
_SAME_MS = 12_000
_BARE_WORDS = 3


def find_requests(scene: Scene) -> tuple[Request, ...]:
    """Give each thing asked for, once, with the language in which it was asked first.

    Notes
    -----
    A thing is asked for in words to the staff, next to a word of asking or of courtesy, or named all alone.
    """
    kinds = {kind for entry in rules(scene.lexicon, "requestable-kind") for kind in named(entry, "kinds")}
    found: list[Request] = []
    for spot in scene.reading.spots:
        if scene.kind(spot) not in kinds or spot.concept is None or not _is_asked(scene, spot):
            continue
        before = next((r for r in reversed(found) if r.what == spot.concept), None)
        if before and spot.mention.start_ms - before.evidence[-1].start_ms <= _SAME_MS:
            found[found.index(before)] = before.evolve(evidence=(*before.evidence, scene.span(spot)))
            continue
        found.append(_request(scene, spot, scene.side_at(spot.first)))
    return tuple(found)


def _is_asked(scene: Scene, spot: Spot) -> bool:
    reading = scene.reading
    if spot.mention.status in ("past", "general", "hypothetical", "negated", "retracted"):
        return False
    if reading.register(spot.first) == "request":
        return True
    for hit in reading.cues(max(0, spot.first - _NEAR), spot.last + _NEAR, "courtesy", "asking"):
        gap = reading.breaks(min(hit.first, spot.first), max(hit.first, spot.first))
        if gap <= (1 if hit.first >= spot.last else 0) and _asks(scene, hit.first, hit.last, spot):
            return True
    return False


def _asks(scene: Scene, first: int, last: int, spot: Spot) -> bool:
    """A word of courtesy follows what is asked at once; a word of asking stands before it."""
    if first >= spot.last:
        return first - spot.last <= _BARE_WORDS
    return spot.first - last <= _BARE_WORDS


def _request(scene: Scene, spot: Spot, side: Side | None) -> Request:
    return Request(
        concept=spot.concept,
        what=spot.concept,
        side=side,
        codes=codes(spot.concept, scene.lexicon),
        evidence=(scene.span(spot),),
        start_ms=spot.mention.start_ms,
        language=spot.mention.language,
    )
