"""Specimens, closure, packing. Rules: ``lexicons/rules/case.toml``."""

from __future__ import annotations

from collections.abc import Sequence

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import closure, members, named, rules, value_of
from otochron.model import Item, Plan, Status
from otochron.stages.case.items import Drafts, in_order, item, last_of
from otochron.stages.case.scene import Scene
from otochron.stages.case.undone import is_elsewhere, is_part_of_a_name, is_taken_back

_TOLD: tuple[Status, ...] = ("affirmed", "negated", "uncertain")
_AT_ONCE = 4
_CANAL = "ear-canal"
_SENT = frozenset({"histology-specimen", "frozen-section", "bacteriology-swab"})
_SENDABLE = frozenset({"disease", "finding", "structure", "graft"})
_BACK = 16


def find_specimens(scene: Scene) -> tuple[Item, ...]:
    """Give what is sent to the laboratory, or expressly not taken."""
    drafts = Drafts()
    for spot in scene.reading.spots:
        if scene.kind(spot) != "specimen" or spot.mention.status not in _TOLD:
            continue
        concept = spot.concept
        thing = _sent(scene, spot)
        draft = drafts.add(thing or concept, spot.mention.status, scene.span(spot))
        if thing:
            draft.attributes["to"] = concept
    return in_order(item(d, last_of(d, _TOLD) or "affirmed", scene.lexicon) for d in drafts.by_key.values())


def _sent(scene: Scene, spot: Spot) -> str | None:
    if spot.concept not in _SENT:
        return None
    tissue = members(scene.lexicon, "removable")
    never = members(scene.lexicon, "never-sent")
    before = [
        s
        for s in scene.reading.among(spot.first - _BACK, spot.first)
        if (scene.kind(s) in _SENDABLE and s.concept and (scene.kind(s) != "finding" or s.concept in tissue))
        and not any(name in never for name in closure(scene.lexicon, s.concept))
    ]
    led = scene.reading.cues(max(0, spot.first - 4), spot.first, "pronoun")
    reach = _BACK if led else 7  # "in one piece and it goes to pathology": what came out just before
    before = [
        s
        for s in before
        if spot.first - s.first <= reach
        and (scene.reading.breaks(s.first, spot.first) <= 1 or (led and s.concept in tissue))
    ]
    return before[-1].concept if before and spot.concept != "bacteriology-swab" else None


def find_closure(scene: Scene) -> tuple[Item, ...]:
    """Give how the wound was closed, and what was left out."""
    drafts = Drafts()
    dressings = members(scene.lexicon, "packing")
    for spot in scene.reading.spots:
        if (
            scene.kind(spot) != "closure"
            or spot.concept in dressings
            or spot.mention.status not in ("affirmed", "negated")
        ):
            continue
        if not scene.is_request(spot) and not _is_no_closure(scene, spot):
            drafts.add(spot.concept, spot.mention.status, scene.span(spot))
    return in_order(item(d, last_of(d, _TOLD) or "affirmed", scene.lexicon) for d in drafts.by_key.values())


def _is_no_closure(scene: Scene, spot: Spot) -> bool:
    """Tell whether it closes nothing here: taken back, on the hand, or a suture between bones ("at the suture")."""
    if scene.reading.register(spot.first) == "aside" or is_elsewhere(scene, spot):
        return True
    if is_taken_back(scene, spot.last, spot.last):
        return True
    if spot.concept not in members(scene.lexicon, "also-a-place") or spot.mention.status != "affirmed":
        return False
    led = scene.reading.cues(max(0, spot.first - 3), spot.first, "locative", "preposition")
    return not _is_at_the_end(scene, spot) and (bool(led) or scene.reading.register(spot.first) == "teaching")


def find_packing(scene: Scene) -> tuple[Item, ...]:
    """Give the packs and dressings by place: middle ear, canal, or outside."""
    drafts = Drafts()
    wanted = members(scene.lexicon, "packing")
    for spot in scene.reading.spots:
        concept = spot.concept
        if concept is None or spot.mention.status not in ("affirmed", "negated"):
            continue
        if not any(name in wanted for name in closure(scene.lexicon, concept)) or _is_asked(scene, spot):
            continue
        if scene.reading.register(spot.first) == "aside":
            continue
        if is_part_of_a_name(scene, spot) or is_elsewhere(scene, spot) or is_taken_back(scene, spot.last, spot.last):
            continue
        if concept in members(scene.lexicon, "packing-last") and not _is_at_the_end(scene, spot):
            continue  # "adrenaline on cotton and we wait"
        place = _place(scene, spot)
        draft = drafts.add(concept, spot.mention.status, scene.span(spot), scene.side_at(spot.first), place or "")
        if place:
            draft.attributes["place"] = place
        for other in scene.reading.among(spot.last, spot.last + 5):
            if other.concept in members(scene.lexicon, "dressing-drug"):
                draft.attributes["with"] = other.concept
    _unplaced(drafts)
    return in_order(item(d, last_of(d, _TOLD) or "affirmed", scene.lexicon) for d in drafts.by_key.values())


def _is_at_the_end(scene: Scene, spot: Spot) -> bool:
    """Tell whether the ear is being packed, closed or dressed, or the instructions run."""
    step = scene.step_at(spot.mention.start_ms)
    return step is None or step.phase in members(scene.lexicon, "packing-last-phase")


def _is_asked(scene: Scene, spot: Spot) -> bool:
    """Tell whether a pack is only asked for: words to the staff with a word of asking or of courtesy beside it."""
    if not scene.is_request(spot):
        return False
    return scene.reading.has(spot.first - 4, spot.last + 4, "asking", "asking-too", "courtesy")


def _place(scene: Scene, spot: Spot) -> str | None:
    """Give the place: the structure named right after it, else the step that runs, else one named nearby."""
    places = {
        concept: place
        for entry in rules(scene.lexicon, "packing-place")
        for place in entry.values
        for concept in named(entry, place)
    }
    near = [s for s in scene.reading.among(spot.first - 8, spot.last + 8) if s.concept in places]
    right_after = [
        s
        for s in near
        if spot.last < s.first <= spot.last + _AT_ONCE
        and scene.reading.breaks(spot.last - 1, s.first) == 0
        and scene.reading.after_preposition(s.first)
    ]
    if right_after:
        return places[right_after[0].concept or ""]
    if _with_canal_pack(scene, spot):
        return _CANAL
    step = scene.step_at(spot.mention.end_ms)
    by_step = value_of(scene.lexicon, "packing-step", step.step) if step else None
    if by_step or not near:
        return by_step
    return places[min(near, key=lambda s: (scene.distance(spot, s), s.first)).concept or ""]


def _with_canal_pack(scene: Scene, spot: Spot) -> bool:
    """Tell whether a pack of the canal follows in the same breath: "gelatin sponge and then ribbon gauze"."""
    family = members(scene.lexicon, "same-pack")
    after = scene.reading.among(spot.last, spot.last + _AT_ONCE)
    return spot.concept not in family and any(s.concept in family for s in after)


def _unplaced(drafts: Drafts) -> None:
    """Add a pack told without its place to the same pack told last with one."""
    for key, draft in list(drafts.by_key.items()):
        if key[2]:
            continue
        placed = [d for k, d in drafts.by_key.items() if k[0] == key[0] and k[1] == key[1] and k[2]]
        if placed:
            placed[-1].said += draft.said
            placed[-1].said.sort(key=lambda said: said[1].start_ms)
            drafts.by_key.pop(key)


def with_removal(packing: tuple[Item, ...], plan: Sequence[Plan]) -> tuple[Item, ...]:
    """Add to each pack when it is to come out, as planned."""
    out = {p.what: p.when.after for p in plan if p.attributes.get("act") == "removal" and p.when.after}
    return tuple(
        i.evolve(attributes={**i.attributes, "removal": out[i.concept]}) if i.concept in out else i for i in packing
    )
