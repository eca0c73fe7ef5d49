"""Complications said or denied. Rules: ``lexicons/rules/case.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import members, rules
from otochron.model import Item, Status
from otochron.stages.case.items import Drafts, in_order, item, last_of
from otochron.stages.case.scene import Scene
from otochron.stages.case.undone import is_before_the_operation

_TOLD: tuple[Status, ...] = ("affirmed", "negated", "uncertain")
_CONSENT = 9
_HEADED = 2
_ALWAYS_NAMED = "gusher"


def find_complications(scene: Scene) -> tuple[Item, ...]:
    """Give the complications that happened or were expressly denied; feared ones are none."""
    drafts = Drafts()
    too = members(scene.lexicon, "complication-too")
    parts = {s for entry in rules(scene.lexicon, "fits") for s in entry.of}
    for spot in scene.reading.spots:
        status = _status(scene, spot)
        if status is None:
            continue
        if scene.kind(spot) == "complication" and spot.concept:
            if spot.concept in parts and status == "negated" and spot.concept != _ALWAYS_NAMED:
                continue
            drafts.add(spot.concept, status, scene.span(spot))
        elif spot.concept in too and status == "negated":
            drafts.add(spot.concept, status, scene.span(spot))
    _apart(scene, drafts)
    return in_order(item(d, last_of(d, _TOLD) or "affirmed", scene.lexicon) for d in drafts.by_key.values())


def _status(scene: Scene, spot: Spot) -> Status | None:
    """Give how one place tells a complication: said or denied; None where it is none of this operation."""
    reading, status = scene.reading, spot.mention.status
    if scene.is_request(spot) or (reading.register(spot.first) == "teaching" and status == "affirmed"):
        return None
    if reading.has(spot.first - _CONSENT, spot.first, "consent", "watched") or is_before_the_operation(scene, spot):
        return None  # what may happen; what the patient had or never had
    if status == "affirmed" and reading.has(spot.first - _CONSENT, spot.first, "no-need"):
        return "negated"  # "nothing to do with a gusher"
    if status == "affirmed" and reading.has(spot.last, spot.last + _HEADED, "and-is-not", "negation-last"):
        return "negated"  # "you would say gusher and it isn't one", "complications: none"
    if status == "affirmed" and spot.concept in members(scene.lexicon, "complication-heading"):
        return None  # a heading tells nothing by itself
    return status if status in ("affirmed", "negated") else None


def _apart(scene: Scene, drafts: Drafts) -> None:
    """Add what happened apart from what is denied: "no complication apart from the tear of the skin"."""
    for hit in scene.reading.hits("apart-from"):
        denied = [s for s in scene.reading.among(hit.first - 6, hit.first) if scene.kind(s) == "complication"]
        things = [s for s in scene.reading.among(hit.last, hit.last + 4) if scene.kind(s) == "structure" and s.concept]
        if denied and denied[-1].mention.status == "negated" and things:
            drafts.add(things[0].concept, "affirmed", scene.span(things[0]))
