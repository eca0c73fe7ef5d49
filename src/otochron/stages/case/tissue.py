"""Tissue taken out and changed. Rules: ``lexicons/rules/case.toml``; steps with ``removes``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import closure, members, named, rules, value_of
from otochron.model import Step, Tissue
from otochron.stages.case.explants import NOT_YET, find_explants
from otochron.stages.case.items import Drafts, in_order, item
from otochron.stages.case.scene import Act, Scene
from otochron.stages.case.undone import is_taken_back

_BEHIND, _AHEAD, _ROUND = 7, 3, 4


def find_tissue(scene: Scene) -> Tissue:
    """Give the tissue removed and the tissue altered, as told by acts, by "is out", and by the steps done."""
    removed, altered = Drafts(), Drafts()
    for act in scene.acts:
        if act.object is not None and _is_done(scene, act):
            _by_act(scene, act, act.object, removed, altered)
    _is_out(scene, removed)
    _taken_out(scene, removed)
    for concept, span in find_explants(scene):
        removed.add(concept, "affirmed", span)
    _by_steps(scene, removed, altered)
    return Tissue(
        removed=in_order(item(d, "affirmed", scene.lexicon) for d in removed.by_key.values()),
        altered=in_order(item(d, "affirmed", scene.lexicon) for d in altered.by_key.values()),
    )


def _is_done(scene: Scene, act: Act) -> bool:
    """Tell whether an act is told as done: "I have to cut it" is told as it is done, "I thought it was cut" not."""
    verb = act.verb
    reading = scene.reading
    status = verb.mention.status
    forced = status == "planned" and reading.has(verb.first - 4, verb.first, "necessity")
    if (status != "affirmed" and not forced) or scene.is_request(verb):
        return False
    if reading.has(verb.first - 6, verb.last + 8, "earlier-operation"):
        return False
    last = max(verb.last, act.object.last) if act.object else verb.last
    if is_taken_back(scene, min(verb.last, last), last) or _is_an_amount(scene, act):
        return False
    return not reading.has(verb.first - 8, verb.first, "mistaken", "no-need")


def _is_an_amount(scene: Scene, act: Act) -> bool:
    """Tell whether an amount is taken off, not a thing: "we take away a quarter"; not "two millimetres of the head"."""
    verb = act.verb
    sizes = [z for z in scene.reading.sizes if verb.last <= z.first <= verb.last + 1]
    if not sizes or act.object is None:
        return False
    return not 0 <= act.object.first - sizes[0].last <= _AHEAD


def _by_act(scene: Scene, act: Act, thing: Spot, removed: Drafts, altered: Drafts) -> None:
    verb, what = act.verb, thing.concept or ""
    if thing.mention.status not in ("affirmed", "planned"):
        return
    if verb.concept in members(scene.lexicon, "removal-act") and (gone := _removable(scene, what)):
        first, last = min(verb.first, thing.first), max(verb.last, thing.last)
        removed.add(gone, "affirmed", scene.reading.span(first, last))
    barred = {name for entry in rules(scene.lexicon, "alter-not") for name in named(entry, what)}
    changes = verb.concept in members(scene.lexicon, "alter-act") and verb.concept not in barred
    if changes and what in members(scene.lexicon, "alterable"):
        altered.add(what, "affirmed", scene.span(verb)).attributes["by"] = verb.concept


def _is_out(scene: Scene, removed: Drafts) -> None:
    """Add what "is out": "the incus is out"."""
    reading = scene.reading
    for hit in reading.hits("is-out"):
        before = [s for s in reading.among(hit.first - _BEHIND, hit.first) if _is_loose(scene, s)]
        if before and any(scene.kind(s) == "implant" for s in reading.among(before[-1].last, hit.first)):
            continue  # "revision of the stapes, the old piston is out"
        if before and not reading.has(before[-1].first - 3, hit.first, *NOT_YET):
            span = reading.span(before[-1].first, hit.last)
            removed.add(_removable(scene, before[-1].concept or ""), "affirmed", span)


def _taken_out(scene: Scene, removed: Drafts) -> None:
    """Add what is taken out: "I take the incus out"."""
    reading = scene.reading
    for hit in reading.hits("takes"):
        things = [s for s in reading.among(hit.last, hit.last + _AHEAD) if _is_loose(scene, s)]
        if not things or not reading.has(things[0].last, things[0].last + 1, "out"):
            continue
        if not reading.has(hit.first - 5, hit.first, *NOT_YET):
            span = reading.span(hit.first, things[0].last + 1)
            removed.add(_removable(scene, things[0].concept or ""), "affirmed", span)


def _is_loose(scene: Scene, spot: Spot) -> bool:
    """Tell whether a mention is of tissue that counts when it is taken out."""
    if spot.concept is None or spot.mention.status != "affirmed" or scene.kind(spot) == "implant":
        return False
    return _removable(scene, spot.concept) is not None


def _removable(scene: Scene, concept: str) -> str | None:
    """Give what is removed when this is removed, or None where it is no tissue that counts."""
    wanted = members(scene.lexicon, "removable")
    if concept in wanted:
        return value_of(scene.lexicon, "removable", concept) or concept
    near = closure(scene.lexicon, concept)[:2]
    return next((name for name in near if name in wanted and scene.kind_of(name) == "disease"), None)


def _is_acted(scene: Scene, step: Step) -> bool:
    """Tell whether the acts told in a step are not all still to be done or denied."""
    first = scene.reading.places.first(step.evidence[0])
    last = scene.reading.places.last(step.evidence[-1])
    changing = members(scene.lexicon, "alter-act")
    told = [s.mention.status for s in scene.reading.among(first - _ROUND, last + _ROUND) if s.concept in changing]
    return not told or "affirmed" in told


def _by_steps(scene: Scene, removed: Drafts, altered: Drafts) -> None:
    """Add what a done step removes, where its end was said, and what it changes."""
    wanted = members(scene.lexicon, "removable")
    for step in scene.done_steps:
        entry = scene.lexicon.get(step.step)
        changed = value_of(scene.lexicon, "alter-step", step.step)
        if not step.evidence or entry is None:
            continue
        if changed and _is_acted(scene, step):
            altered.add(changed, "affirmed", step.evidence[0]).attributes.setdefault("by", step.step)
        for thing in entry.removes:
            if thing in wanted and step.completion == "said":
                removed.add(thing, "affirmed", step.evidence[-1])
