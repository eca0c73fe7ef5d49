"""What is named and yet not done or not used here: taken back at once, part of a name, on another part of the body."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import is_kind_of, members
from otochron.stages.case.scene import Scene

_AT_ONCE = 4
_BODY = 8


def is_taken_back(scene: Scene, first: int, last: int) -> bool:
    """Tell whether some words are taken back at once: "I cut the tendon, no, I keep it"."""
    reading = scene.reading
    for hit in reading.cues(last, last + _AT_ONCE, "undone"):
        between = [
            s for s in reading.among(last, hit.first) if s.mention.kind not in ("reference", "action", "material")
        ]
        if not between:
            return True
    return bool(reading.cues(first, last, "undone"))


def is_part_of_a_name(scene: Scene, spot: Spot) -> bool:
    """Tell whether a word only says what kind of tool or part the next word is: "the ribbon loop"."""
    if scene.reading.words[spot.first].language == "fr" or spot.last >= len(scene.reading.words):
        return False
    after = scene.reading.among(spot.last, spot.last + 1)
    named = [s for s in after if s.mention.kind in ("implant", "instrument") and s.last - s.first == 1]
    return bool(named) and not scene.reading.breaks(spot.last - 1, spot.last)


def is_elsewhere(scene: Scene, spot: Spot) -> bool:
    """Tell whether something is done on another part of the body: "one stitch on the hand"."""
    reading = scene.reading
    near = reading.cues(max(0, spot.first - _BODY), spot.last + _BODY, "elsewhere")
    return any(reading.breaks(hit.first, spot.first) == 0 for hit in near)


def is_denied_as_a_kind(scene: Scene, spot: Spot) -> bool:
    """Tell whether all things of its kind are denied right after it: "amoxicillin, no, no antibiotics"."""
    after = scene.reading.among(spot.last, spot.last + _AT_ONCE)
    return any(
        s.mention.status == "negated"
        and s.mention.concept != spot.concept
        and is_kind_of(scene.lexicon, spot.concept, s.mention.concept or "")
        for s in after
    )


def is_before_the_operation(scene: Scene, spot: Spot) -> bool:
    """Tell whether something is told before anything is opened: of the patient, not of this operation."""
    opening = members(scene.lexicon, "opening-phase")
    first = next((step.start_ms for step in scene.done_steps if step.phase not in opening), None)
    return first is not None and spot.mention.end_ms <= first
