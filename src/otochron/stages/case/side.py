"""The operated side. Words: kind ``side``, and ``lexicons/cues/side.toml``."""

from __future__ import annotations

from collections import defaultdict

from otochron.lexicon import Hit
from otochron.lexicon.reading import Spot
from otochron.model import CaseSide, Side, Span
from otochron.stages.case.items import unique
from otochron.stages.case.scene import Scene

_NEAR = 8
_STANDS = 5
_ASIDE = 0.4
_LONG = ("d", "wk", "mo", "a")
_REACH = 5
_CHECK_BEFORE = 14
_NOT_NOW = ("past", "hypothetical", "retracted", "negated", "general", "uncertain")
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
    strong: dict[Side, list[Span]] = defaultdict(list)
    for spot in scene.reading.spots:
        side = _SIDES.get(spot.mention.concept or "")
        if side is None or spot.mention.kind != "side" or _is_straight(scene, spot) or _is_of_people(scene, spot):
            continue
        weight = _weight(scene, spot)
        if weight:
            votes[side] += weight
            evidence[side].append(spot.mention.span())
            named = any(s.mention.kind == "structure" for s in scene.reading.among(spot.first, spot.last))
            if (weight > 1 or (named and weight == 1)) and spot.mention.status == "affirmed":
                strong[side].append(spot.mention.span())
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
    other: Side = "right" if value == "left" else "left"
    return CaseSide(value=value, evidence=unique(evidence[value]), against=unique(strong[other]))


def _is_both(votes: dict[Side, float], changes: list[tuple[int, Side]]) -> bool:
    """Tell whether both ears are operated: said so and no single ear outweighs it, or changed over."""
    sides = {side for _, side in changes}
    left, right = votes.get("left", 0), votes.get("right", 0)
    both = votes.get("both", 0)
    if both >= _SURE:
        return bool(left) == bool(right) or both > max(left, right)
    return len(sides) == _EARS and bool(left) and bool(right)


def _weight(scene: Scene, spot: Spot) -> float:
    """Give the vote of one place: 0 if it tells of another ear, another day, or a comparison."""
    reading, mention = scene.reading, spot.mention
    checked = _is_near(scene, spot, "side-check", _CHECK_BEFORE, _NEAR)
    if mention.status in _NOT_NOW and not (mention.status == "past" and checked):
        return 0
    compared = reading.has(spot.first - 3, spot.first, "side-compared")
    had = reading.has(spot.last, spot.last + 1, "side-had") and not checked
    if compared or had or reading.has(spot.last, spot.last + 3, "side-wrong"):
        return 0
    elsewhere = _is_near(scene, spot, "side-other", _NEAR, _NEAR) or _is_near(scene, spot, "past-case", 10, 6)
    if (elsewhere and not checked) or _is_topic_of_old(scene, spot) or _is_ago(scene, spot):
        return 0
    if not checked and _is_of_the_other(scene, spot):
        return _ASIDE
    near = reading.among(spot.first - _NEAR, spot.last + _NEAR)
    kinds = {s.mention.kind for s in near if s.mention.status not in ("past", "hypothetical")}
    if checked or kinds & {"procedure", "implant"}:
        return _SURE
    return _ILLNESS if "disease" in kinds and mention.concept != "both" else 1


def _is_straight(scene: Scene, spot: Spot) -> bool:
    """Tell whether a bare word after a verb says how a thing stands, not where: "elle est droite"."""
    reading = scene.reading
    bare = spot.last - spot.first == 1
    return bare and reading.has(spot.first - 1, spot.first, "finite")


def _is_of_people(scene: Scene, spot: Spot) -> bool:
    """Tell whether a side is where somebody or something of the room stands: "I stand on the right"."""
    reading = scene.reading
    led = reading.cues(max(0, spot.first - _STANDS), spot.first, "my-side", "room-person")
    if any(hit.last == spot.first for hit in led) or reading.has(spot.last, spot.last + 1, "my-side"):
        return True
    hits = reading.cues(max(0, spot.first - _STANDS), spot.first, "stands")
    return any(not reading.among(hit.last, spot.first) and reading.breaks(hit.last, spot.first) == 0 for hit in hits)


def _is_ago(scene: Scene, spot: Spot) -> bool:
    """Tell whether a length of time gone by follows: "le côté droit il y a six semaines"."""
    reading = scene.reading
    hits = reading.cues(spot.last, spot.last + 2, "time-gone")
    ends = {end for hit in hits for end in (hit.last, hit.last + 1)}
    return any(z.first in ends and z.measurement.unit in _LONG for z in reading.sizes)


def _is_of_the_other(scene: Scene, spot: Spot) -> bool:
    """Tell whether what is told of an ear is most likely told of the other one: it hears, "he has also …"."""
    reading = scene.reading
    return reading.has(spot.last, spot.last + 1, "side-hears") or reading.has(spot.first - 4, spot.first, "side-also")


def _is_topic_of_old(scene: Scene, spot: Spot) -> bool:
    """Tell whether a side is the topic of what was on another day: "l'oreille droite c'était il y a trois ans"."""
    hits = scene.reading.cues(spot.last, spot.last + 2, "was-then")
    return bool(hits) and scene.reading.has(hits[0].last, hits[0].last + 5, "past-case", "time-gone")


def _is_near(scene: Scene, spot: Spot, role: str, before: int, after: int) -> bool:
    """Tell whether a cue stands near a side with no other side between them."""
    reading = scene.reading
    for hit in reading.cues(max(0, spot.first - before), spot.last + after, role):
        low, high = (hit.last, spot.first) if hit.first < spot.first else (spot.last, hit.first)
        if hit.first < spot.first and role != "side-check" and reading.has(hit.last, spot.first, "this-case"):
            continue  # "ten years ago … today the right ear"
        if hit.first > spot.last and role == "side-other" and reading.breaks(spot.last - 1, hit.first):
            continue  # "the left ear first | the other ear next year"
        between = [s for s in reading.among(low, high) if s.mention.kind == "side"]
        if all(s.mention.concept == spot.mention.concept for s in between):
            return True
    return False


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
