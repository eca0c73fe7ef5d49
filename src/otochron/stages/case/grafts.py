"""Grafts: what was taken and laid. Rules: ``lexicons/rules/case.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import is_kind_of, members
from otochron.model import Item, Status
from otochron.stages.case.items import Drafts, in_order, item, last_of
from otochron.stages.case.scene import Scene
from otochron.stages.case.undone import is_taken_back

_NEAR = 10


def find_grafts(scene: Scene) -> tuple[Item, ...]:
    """Give the grafts that were used, and those expressly not used.

    Notes
    -----
    Tissue that is a part of the body (fascia, fat, a flap) is a graft only where an act takes or lays it. A
    graft that is only named in an "if", planned, or of another day, is none.
    """
    drafts = Drafts()
    unnamed = members(scene.lexicon, "no-graft")
    in_place = members(scene.lexicon, "graft-in-place")
    for spot in scene.reading.spots:
        if spot.mention.kind != "graft" or spot.concept in unnamed or spot.concept is None:
            continue
        status = spot.mention.status
        if status not in ("affirmed", "negated"):
            continue
        if status == "affirmed" and scene.is_request(spot):
            continue
        if status == "affirmed" and spot.concept in in_place and not _is_handled(scene, spot):
            continue
        if status == "affirmed" and scene.reading.register(spot.first) == "teaching":
            continue
        if scene.reading.register(spot.first) == "aside":
            continue
        if status == "affirmed" and is_taken_back(scene, spot.last, spot.last):
            continue
        drafts.add(spot.concept, status, scene.span(spot), scene.side_at(spot.first))
    _merge(scene, drafts)
    found = []
    for draft in drafts.by_key.values():
        status_: Status | None = last_of(draft, ("affirmed", "negated"))
        if status_:
            found.append(item(draft, status_, scene.lexicon))
    return in_order(found)


def _is_handled(scene: Scene, spot: Spot) -> bool:
    """Tell whether an act takes or lays it, in words or as a step."""
    step = scene.step_at(spot.mention.start_ms)
    entry = scene.lexicon.get(step.step) if step else None
    if (
        entry
        and step
        and step.phase in members(scene.lexicon, "harvest-phase")
        and any(is_kind_of(scene.lexicon, name, spot.concept or "") for name in entry.produces)
    ):
        return True
    acts = members(scene.lexicon, "graft-act")
    reading = scene.reading
    return any(
        verb.concept in acts
        and verb.mention.status == "affirmed"
        and scene.distance(verb, spot) <= _NEAR
        and not reading.has(min(verb.first, spot.first), max(verb.last, spot.last) + 5, "left-alone")
        for verb in reading.among(spot.first - _NEAR, spot.last + _NEAR)
    )


def _merge(scene: Scene, drafts: Drafts) -> None:
    """Add a general word ("the cartilage") to the one kind of it that was used."""
    for key, draft in list(drafts.by_key.items()):
        special = [
            d
            for d in drafts.by_key.values()
            if d is not draft
            and d.side == draft.side
            and draft.concept
            and "affirmed" in d.statuses
            and d.concept != draft.concept
            and is_kind_of(scene.lexicon, d.concept, draft.concept)
        ]
        if special:
            near = min(special, key=lambda d: min(abs(s.start_ms - draft.said[0][1].start_ms) for _, s in d.said))
            near.said += draft.said
            near.said.sort(key=lambda said: said[1].start_ms)
            drafts.by_key.pop(key)
