"""Implants of an earlier operation: none of today's, and removed where that is told."""

from __future__ import annotations

from collections.abc import Iterator

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import is_kind_of, members
from otochron.model import Span
from otochron.stages.case.scene import THINGS, Scene

_BEFORE, _AFTER = 2, 4
_OUT = 6
NOT_YET = ("condition", "would", "planned-now", "negation-verb", "when-later")


def is_old(scene: Scene, spot: Spot) -> bool:
    """Tell whether an implant is called old: "the old piston", "la feuille de la première fois"."""
    reading = scene.reading
    before = reading.cues(max(0, spot.first - _BEFORE), spot.first, "old-thing")
    after = reading.cues(spot.last, spot.last + _AFTER, "old-thing")
    return any(hit.last == spot.first for hit in before) or any(
        hit.first == spot.last and not reading.breaks(spot.last - 1, hit.last - 1) for hit in after
    )


def find_explants(scene: Scene) -> Iterator[tuple[str, Span]]:
    """Give each old implant that is told to be out, with the words that tell it."""
    reading = scene.reading
    wholes = sorted(members(scene.lexicon, "implant"))
    old = {s.concept for s in reading.spots if s.mention.kind == "implant" and _is_of_before(scene, s)}
    for spot in reading.spots:
        if spot.concept not in old or scene.kind(spot) != "implant" or spot.mention.status not in ("affirmed", "past"):
            continue
        if not any(is_kind_of(scene.lexicon, spot.concept, whole) for whole in wholes):
            continue
        last = _out(scene, spot)
        if last and not reading.has(spot.first - 3, last, *NOT_YET) and not _is_placed(scene, spot):
            yield str(spot.concept), reading.span(min(spot.first, last - 1), max(spot.last, last))


def _is_of_before(scene: Scene, spot: Spot) -> bool:
    return is_old(scene, spot) or (spot.mention.status == "past" and not scene.is_request(spot))


def _is_placed(scene: Scene, spot: Spot) -> bool:
    """Tell whether an implant was already put in today."""
    return any(
        step.start_ms <= spot.mention.start_ms
        and (entry := scene.lexicon.get(step.step)) is not None
        and any(is_kind_of(scene.lexicon, made, spot.concept or "") for made in entry.produces)
        for step in scene.done_steps
    )


def _out(scene: Scene, spot: Spot) -> int | None:
    """Give the word after which an implant is out: "the old piston is out", "piston retiré"."""
    reading = scene.reading
    for hit in reading.cues(spot.last, spot.last + _OUT, "is-out"):
        if not [s for s in reading.among(spot.last, hit.first) if scene.kind(s) in THINGS]:
            return hit.last
    acts = members(scene.lexicon, "removal-act")
    for act in scene.acts:
        if act.object is not None and act.object.first == spot.first and act.verb.concept in acts:
            return act.verb.last if act.verb.mention.status == "affirmed" else None
    return None
