"""Drugs with their dilution or dose. Rules: ``lexicons/rules/case.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import members, of_finding
from otochron.model import Item, Measurement, Plan, Status
from otochron.stages.case.allergies import is_allergen
from otochron.stages.case.items import Draft, Drafts, in_order, item, last_of
from otochron.stages.case.scene import Scene
from otochron.stages.case.undone import is_denied_as_a_kind

_GIVEN: tuple[Status, ...] = ("affirmed", "negated", "past", "general")
_OPENING_MS = 180_000
_ONE_IN = 1e-2
_NEAR = 12
_BESIDE = 4


def find_drugs(scene: Scene, plan: tuple[Plan, ...] = ()) -> tuple[Item, ...]:
    """Give the drugs that were given or expressly not given; what is to be taken afterwards is in the plan."""
    drafts = Drafts()
    means = members(scene.lexicon, "no-drug")
    dressing = members(scene.lexicon, "dressing-drug")
    places = scene.reading.places
    later = {(p.what, n) for p in plan for e in p.evidence for n in range(places.first(e), places.last(e))}
    for spot in scene.reading.spots:
        if (spot.concept, spot.first) in later and spot.mention.status != "negated":
            continue  # to be taken afterwards
        if scene.kind(spot) != "drug" or spot.concept in means or spot.mention.status not in _GIVEN:
            continue
        if spot.mention.status in ("past", "general") and spot.mention.start_ms > _OPENING_MS:
            continue
        if spot.mention.status == "general" and scene.reading.has(spot.first - 8, spot.first, "habit"):
            continue
        if spot.concept in dressing or (spot.mention.status == "affirmed" and _is_asked(scene, spot)):
            continue
        denied = spot.mention.status == "affirmed" and is_denied_as_a_kind(scene, spot)
        status: Status = "negated" if denied else spot.mention.status
        if scene.reading.has(spot.first - 3, spot.first, "soaked-in") or is_allergen(scene, spot):
            continue
        for concept in _parts(scene, spot):
            draft = drafts.add(concept, status, scene.span(spot), scene.side_at(spot.first))
            _measure(scene, spot, draft)
    if scene.side == "both":
        _other_side(scene, drafts)
    return in_order(
        item(d, "negated" if last_of(d, _GIVEN) == "negated" else "affirmed", scene.lexicon)
        for d in drafts.by_key.values()
    )


def _other_side(scene: Scene, drafts: Drafts) -> None:
    """Add the same drops for the second ear, where the drug is not named again."""
    dressing = members(scene.lexicon, "dressing-drug")
    for spot in scene.reading.spots:
        side = scene.side_at(spot.first)
        if spot.concept not in dressing or spot.mention.status != "affirmed" or side is None:
            continue
        step = scene.step_at(spot.mention.start_ms)
        if step is not None and step.phase == "instructions-phase":
            continue
        named = [d for d in drafts.by_key.values() if d.side not in (None, side) and _is_local(scene, d)]
        if named and not any(d.side == side and d.concept == named[-1].concept for d in drafts.by_key.values()):
            drafts.add(named[-1].concept, "affirmed", scene.span(spot), side)


def _is_local(scene: Scene, draft: Draft) -> bool:
    """Tell whether a drug was named as drops."""
    first = scene.reading.places.first(draft.said[0][1])
    return any(s.concept in members(scene.lexicon, "dressing-drug") for s in scene.reading.among(first - 4, first + 4))


def _is_asked(scene: Scene, spot: Spot) -> bool:
    """Tell whether a drug is only asked for: in words to the staff, and without an amount."""
    if not scene.is_request(spot):
        return False
    amounts = (z for z in scene.reading.sizes if abs(z.first - spot.last) <= _BESIDE)
    return all(z.measurement.of != spot.concept for z in amounts)


def _parts(scene: Scene, spot: Spot) -> tuple[str, ...]:
    """Give the drugs of a mixture where the amount of one of them is told, else the mixture."""
    for rule in of_finding(scene.lexicon, "mixture", spot.concept or ""):
        near = [z for z in scene.reading.sizes if abs(z.first - spot.first) <= _NEAR]
        if any(z.measurement.of in rule.to for z in near):
            return rule.to
    return (spot.concept or "",)


def _measure(scene: Scene, spot: Spot, draft: Draft) -> None:
    for size in scene.reading.sizes:
        measurement = size.measurement
        if (
            measurement.of == draft.concept
            and measurement.status == "affirmed"
            and abs(size.first - spot.first) <= _NEAR
        ):
            name, text = _told(measurement)
            draft.attributes[name] = text


def _told(measurement: Measurement) -> tuple[str, str]:
    """Give the name and the text of an amount: a dilution as ``1:200000``, other amounts with their unit."""
    value = measurement.value or 0
    if measurement.unit == "1" and 0 < value < _ONE_IN:
        return "dilution", f"1:{round(1 / value)}"
    name = "concentration" if measurement.unit == "%" else "dose"
    return name, f"{value:g} {measurement.unit}"
