"""The operated side. Words: kind ``side``, and ``lexicons/cues/side.toml``."""

from __future__ import annotations

from collections import defaultdict

from otochron.lexicon import Hit
from otochron.lexicon.reading import Spot
from otochron.model import CaseSide, Side, Span
from otochron.stages.case.items import unique
from otochron.stages.case.scene import Scene

_NEAR = 8
_REACH = 5
_SURE, _ILLNESS, _EARS = 3, 1.5, 2
_SIDES: dict[str, Side] = {"left": "left", "right": "right", "both": "both"}


def find_side(scene: Scene) -> CaseSide:
    """Give the operated side with its evidence, and set the sections of ``scene`` where both are.

    Notes
    -----
    Each place votes once; it weighs more where the side is checked (time-out) or stands with the name of the
    operation or the disease. Another ear's history, another day, suppositions and what was taken back do not
    vote, nor does a side to compare with ("as on the right"). Two ears need the words for both, or an act of
    changing over.
    """
    votes: dict[Side, float] = defaultdict(float)
    evidence: dict[Side, list[Span]] = defaultdict(list)
    for spot in scene.reading.spots:
        side = _SIDES.get(spot.mention.concept or "")
        if side is None or spot.mention.kind != "side":
            continue
        weight = _weight(scene, spot)
        if weight:
            votes[side] += weight
            evidence[side].append(spot.mention.span())
    changes = _changes(scene)
    again = [*scene.reading.hits("side-again"), *_opposites(scene)]
    if again and not (votes.get("left") and votes.get("right")):
        votes["both"] += _SURE * len(again)
        evidence["both"] += [scene.reading.span(hit.first, hit.last) for hit in again]
    if _is_both(votes, changes):
        scene.side = "both"
        scene.sections = changes
        return CaseSide(value="both", evidence=unique(evidence["both"] or evidence["left"] + evidence["right"]))
    single = {side: votes[side] for side in ("left", "right") if votes.get(side)}
    if not single:
        return CaseSide()
    value: Side = "left" if single.get("left", 0) > single.get("right", 0) else "right"
    if single.get("left") == single.get("right"):
        return CaseSide(value=None, evidence=unique(evidence["left"] + evidence["right"]))
    scene.side = value
    return CaseSide(value=value, evidence=unique(evidence[value]))


def _is_both(votes: dict[Side, float], changes: list[tuple[int, Side]]) -> bool:
    """Tell whether both ears are operated: said so and no single ear outweighs it, or changed over."""
    sides = {side for _, side in changes}
    left, right = votes.get("left", 0), votes.get("right", 0)
    both = votes.get("both", 0)
    if both >= _SURE:
        return bool(left) == bool(right) or both > max(left, right)
    return len(sides) == _EARS and bool(left) and bool(right)


def _weight(scene: Scene, spot: Spot) -> float:
    reading, mention = scene.reading, spot.mention
    if mention.status in ("past", "hypothetical", "retracted", "negated", "general", "uncertain"):
        if not (mention.status == "past" and _is_checked(scene, spot)):
            return 0
    if reading.has(spot.first - 10, spot.last + 6, "past-case") and not _is_checked(scene, spot):
        return 0
    if reading.has(spot.first - 3, spot.first, "side-compared"):
        return 0
    if reading.has(spot.last, spot.last + 3, "side-wrong"):
        return 0
    if reading.has(spot.first - _NEAR, spot.last + _NEAR, "side-other") and not _is_checked(scene, spot):
        return 0
    near = reading.among(spot.first - _NEAR, spot.last + _NEAR)
    kinds = {s.mention.kind for s in near if s.mention.status not in ("past", "hypothetical")}
    if _is_checked(scene, spot) or kinds & {"procedure", "implant"}:
        return _SURE
    return _ILLNESS if "disease" in kinds and mention.concept != "both" else 1


def _is_checked(scene: Scene, spot: Spot) -> bool:
    """Tell whether the side is read out at the check before the cut."""
    return scene.reading.has(spot.first - 14, spot.last + 8, "side-check")


def _opposites(scene: Scene) -> list[Hit]:
    """Give where the operation is done in the opposite ear too: "the opposite tympanostomy"."""
    reading = scene.reading
    return [
        hit
        for hit in reading.hits("side-opposite")
        if any(
            s.mention.kind == "procedure" and s.mention.status == "affirmed"
            for s in reading.among(hit.last, hit.last + 2)
        )
    ]


def _changes(scene: Scene) -> list[tuple[int, Side]]:
    """Give the words at which the surgeon goes over to an ear."""
    reading = scene.reading
    found: list[tuple[int, Side]] = []
    words = {side: reading.hits(f"side-word-{side}") for side in ("left", "right")}
    places = sorted((hit.first, side) for side, hits in words.items() for hit in hits)
    for hit in reading.hits("side-change"):
        side = next((s for first, s in places if hit.last <= first <= hit.last + _REACH), None)
        if side is None:
            continue
        if reading.has(hit.first, hit.last + _REACH + 4, "retraction"):
            continue
        found.append((hit.first, _SIDES[side]))
    kept: list[tuple[int, Side]] = []
    for first, side in found:
        if not kept or kept[-1][1] != side:
            kept.append((first, side))
    return kept
