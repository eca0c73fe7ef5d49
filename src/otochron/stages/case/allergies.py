"""Allergies said or denied, and what they are to: a medicine that the patient must not have was not given."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import members
from otochron.stages.case.items import Drafts
from otochron.stages.case.scene import Scene

_BEHIND = 4
"""Words from an allergy to what it is to: "allergic to penicillin", "allergie à la pénicilline"."""
_BESIDE = 2
"""Words from what an allergy is to, named first: "penicillin allergy"."""
_ALLERGENS = frozenset({"drug", "material", "packing", "instrument"})


def is_allergen(scene: Scene, spot: Spot) -> bool:
    """Tell whether a thing is named as what a patient is allergic to."""
    return _allergy_of(scene, spot) is not None


def add_allergies(scene: Scene, drafts: Drafts) -> None:
    """Add each allergy that was said or denied; it lists what it is to."""
    found = members(scene.lexicon, "allergy")
    to = {
        allergy.first: spot.concept
        for spot in scene.reading.spots
        if scene.kind(spot) in _ALLERGENS and (allergy := _allergy_of(scene, spot))
    }
    for spot in scene.reading.spots:
        if spot.mention.concept in found and spot.mention.status in ("affirmed", "negated"):
            allergen = to.get(spot.first)
            draft = drafts.add(spot.concept, spot.mention.status, scene.span(spot), apart=allergen or "")
            if allergen:
                draft.attributes["allergen"] = allergen


def _allergy_of(scene: Scene, spot: Spot) -> Spot | None:
    reading, found = scene.reading, members(scene.lexicon, "allergy")
    before = [s for s in reading.among(spot.first - _BEHIND, spot.first) if s.concept in found]
    listed = bool(before) and before[-1].last == spot.first
    if (
        before
        and (listed or reading.after_preposition(spot.first))
        and not reading.breaks(before[-1].first, spot.first)
    ):
        between = reading.among(before[-1].last, spot.first)
        if all(s.mention.kind in _ALLERGENS for s in between):
            return before[-1]
    after = [s for s in reading.among(spot.last, spot.last + _BESIDE) if s.concept in found]
    if after and after[0].first == spot.last and not reading.breaks(spot.first, after[0].first):
        return after[0]
    return None
