"""Diagnoses, indications, history, anaesthesia. Rules: ``lexicons/rules/case.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import members, rules, value_of
from otochron.model import Item, Status
from otochron.stages.case.allergies import add_allergies
from otochron.stages.case.items import Drafts, in_order, item, last_of
from otochron.stages.case.scene import Scene
from otochron.stages.case.undone import is_before_the_operation

_OPENING_MS = 120_000
_PAST_KINDS = frozenset({"procedure", "disease", "complication", "implant", "graft"})
_NEAR = 14
_SAID = ("affirmed", "past", "negated", "planned", "general")


def find_diagnoses(scene: Scene) -> tuple[Item, ...]:
    """Give the diseases for which, or as which, the ear is operated."""
    drafts = Drafts()
    complaints, never = members(scene.lexicon, "complaint"), members(scene.lexicon, "no-diagnosis")
    for spot in scene.reading.spots:
        if scene.kind(spot) != "disease" or spot.concept in complaints or spot.concept in never:
            continue
        if spot.mention.status in ("affirmed", "planned", "uncertain"):
            drafts.add(spot.concept, spot.mention.status, scene.span(spot))
    return in_order(
        item(d, last_of(d, ("affirmed", "uncertain")) or "affirmed", scene.lexicon) for d in drafts.by_key.values()
    )


def find_indications(scene: Scene) -> tuple[Item, ...]:
    """Give the complaints that are told before the operation begins."""
    drafts = Drafts()
    complaints, lasting = members(scene.lexicon, "complaint"), members(scene.lexicon, "lasting")
    for spot in scene.reading.spots:
        status = spot.mention.status
        meant = value_of(scene.lexicon, "complaint-meant", spot.concept) if status == "past" else None
        concept = meant or spot.concept
        if concept not in complaints or spot.mention.start_ms > _OPENING_MS:
            continue
        if status in ("affirmed", "planned", "past"):
            past = status == "past" and concept not in lasting
            drafts.add(concept, "past" if past else "affirmed", scene.span(spot))
    return in_order(
        item(d, "affirmed" if "affirmed" in d.statuses else "past", scene.lexicon) for d in drafts.by_key.values()
    )


def find_history(scene: Scene) -> tuple[Item, ...]:
    """Give what was done or had on another day or in the other ear."""
    drafts = Drafts()
    complaints = members(scene.lexicon, "complaint")
    illness = members(scene.lexicon, "past-illness")
    for spot in scene.reading.spots:
        if scene.reading.has(spot.first - 20, spot.last + _NEAR, "other-patient"):
            continue
        lesson = scene.reading.register(spot.first) == "teaching" and scene.kind(spot) in ("implant", "graft")
        if lesson and spot.mention.status == "past":
            continue  # "with cartilage one in fifteen": what was seen in others
        status = _past(scene, spot, illness)
        if scene.kind(spot) == "complication" and spot.mention.status == "negated" and spot.concept:
            status = "negated" if is_before_the_operation(scene, spot) else status
        if status is None or spot.concept in complaints:
            continue
        concept = value_of(scene.lexicon, "past-operation", spot.concept) or spot.concept
        draft = drafts.add(concept, status, scene.span(spot))
        side = _side_near(scene, spot)
        if side:
            draft.attributes["ear"] = side
    _unnamed(scene, drafts)
    _closed(scene, drafts)
    named = {d.concept for d in drafts.by_key.values() if scene.lexicon[d.concept or ""].kind == "procedure"}
    if named:
        drafts.drop(
            [
                d
                for d in drafts.by_key.values()
                if scene.lexicon[d.concept or ""].kind in ("implant", "graft") and "past" in d.statuses
            ]
        )
    add_allergies(scene, drafts)
    told: tuple[Status, ...] = ("past", "negated", "affirmed")
    return in_order(item(d, last_of(d, told) or "past", scene.lexicon) for d in drafts.by_key.values())


def _past(scene: Scene, spot: Spot, illness: frozenset[str]) -> Status | None:
    kind = scene.kind(spot)
    if spot.mention.status == "past" and kind in _PAST_KINDS:
        return "past"
    if spot.concept in illness and spot.mention.start_ms < _OPENING_MS:
        if spot.mention.status == "negated":
            return "negated"
        return "past" if spot.mention.status == "affirmed" and kind == "disease" else None
    return None


def _side_near(scene: Scene, spot: Spot) -> str | None:
    near = [s for s in scene.reading.among(spot.first - 20, spot.last + 10) if s.mention.kind == "side"]
    near = [s for s in near if s.mention.status == "past"]
    return min(near, key=lambda s: abs(s.first - spot.first)).concept if near else None


def _unnamed(scene: Scene, drafts: Drafts) -> None:
    """Add the operation of today, where of the other ear is only said that it "was done" on another day."""
    if any(scene.lexicon[d.concept or ""].kind == "procedure" for d in drafts.by_key.values()):
        return
    reading = scene.reading
    for hit in reading.hits("was-done"):
        sides = [
            s
            for s in reading.among(hit.first - 12, hit.first)
            if s.mention.kind == "side" and s.mention.status == "past"
        ]
        if not sides and not reading.has(hit.first - 10, hit.first, "other-case"):
            continue
        today = [
            s
            for s in reading.spots
            if scene.kind(s) == "procedure" and s.first < hit.first and s.mention.status in ("affirmed", "planned")
        ]
        if today:
            draft = drafts.add(today[-1].concept, "past", reading.span(hit.first, hit.last))
            draft.attributes["inferred"] = True
            if sides:
                draft.attributes["ear"] = sides[-1].concept


def _closed(scene: Scene, drafts: Drafts) -> None:
    """Tell of another ear that "was closed with fascia": its drum was repaired."""
    for entry in rules(scene.lexicon, "closed-with"):
        for spot in scene.reading.spots:
            if spot.concept not in entry.of or spot.mention.status != "past":
                continue
            if scene.reading.has(spot.first - _NEAR, spot.first, "was-closed"):
                draft = drafts.add(str(entry.values["procedure"]), "past", scene.span(spot))
                draft.attributes |= {"inferred": True, "graft": spot.concept}


def find_anaesthesia(scene: Scene) -> tuple[Item, ...]:
    """Give the anaesthesia."""
    drafts = Drafts()
    for spot in scene.reading.spots:
        said = scene.kind(spot) == "anaesthesia" and spot.mention.status in _SAID
        old = spot.mention.status == "past" and scene.reading.has(spot.first - _NEAR, spot.last + 4, "past-case")
        if said and not old:
            drafts.add(spot.concept, spot.mention.status, scene.span(spot))
    return in_order(
        item(d, "negated" if d.statuses[-1] == "negated" else "affirmed", scene.lexicon) for d in drafts.by_key.values()
    )
