"""Tissue taken out and changed. Rules: ``lexicons/rules/case.toml``; steps with ``removes``."""

from __future__ import annotations

from otochron.lexicon.rules import closure, members, value_of
from otochron.model import Tissue
from otochron.stages.case.items import Drafts, in_order, item
from otochron.stages.case.scene import Scene

_AHEAD = 5
_BEHIND = 12
_NOT_YET = ("condition", "would", "planned-now", "negation-verb", "when-later")


def find_tissue(scene: Scene) -> Tissue:
    """Give the tissue removed and the tissue altered, as told by acts, by "is out", and by the steps done."""
    removed, altered = Drafts(), Drafts()
    removal, alter = members(scene.lexicon, "removal-act"), members(scene.lexicon, "alter-act")
    alterable = members(scene.lexicon, "alterable")
    for act in scene.acts:
        status = act.verb.mention.status
        forced = status == "planned" and scene.reading.has(act.verb.first - 4, act.verb.first, "necessity")
        if (status != "affirmed" and not forced) or act.object is None or scene.is_request(act.verb):
            continue
        if act.object.mention.status not in ("affirmed", "planned"):
            continue
        if scene.reading.has(act.verb.first - 8, act.verb.first, "mistaken"):
            continue
        if scene.reading.register(act.verb.first) == "teaching":
            continue
        what = act.object.concept or ""
        if act.verb.concept in removal:
            thing = _removable(scene, what)
            if thing:
                removed.add(
                    thing,
                    "affirmed",
                    scene.reading.span(*_both(act.verb.first, act.verb.last, act.object.first, act.object.last)),
                )
        if act.verb.concept in alter and what in alterable:
            draft = altered.add(what, "affirmed", scene.span(act.verb))
            draft.attributes["by"] = act.verb.concept
    for hit in scene.reading.hits("is-out"):
        before = [
            s
            for s in scene.reading.among(hit.first - 7, hit.first)
            if s.concept
            and _removable(scene, s.concept)
            and s.mention.status == "affirmed"
            and scene.kind(s) != "implant"
        ]
        if not before or scene.reading.has(before[-1].first - 3, hit.first, *_NOT_YET):
            continue
        span = scene.reading.span(before[-1].first, hit.last)
        removed.add(_removable(scene, before[-1].concept or ""), "affirmed", span)
    for step in scene.done_steps:
        changed = value_of(scene.lexicon, "alter-step", step.step)
        if changed and step.evidence:
            altered.add(changed, "affirmed", step.evidence[0]).attributes.setdefault("by", step.step)
    _by_steps(scene, removed)
    return Tissue(
        removed=in_order(item(d, "affirmed", scene.lexicon) for d in removed.by_key.values()),
        altered=in_order(item(d, "affirmed", scene.lexicon) for d in altered.by_key.values()),
    )


def _both(a: int, b: int, c: int, d: int) -> tuple[int, int]:
    return min(a, c), max(b, d)


def _removable(scene: Scene, concept: str) -> str | None:
    """Give what is removed when this is removed, or None where it is no tissue that counts."""
    wanted = members(scene.lexicon, "removable")
    if concept in wanted:
        return value_of(scene.lexicon, "removable", concept) or concept
    return next(
        (
            name
            for name in closure(scene.lexicon, concept)[:2]
            if name in wanted and scene.lexicon[name].kind == "disease"
        ),
        None,
    )


def _by_steps(scene: Scene, removed: Drafts) -> None:
    """Add what a done step removes where a word of it stands in the step's evidence."""
    for step in scene.done_steps:
        entry = scene.lexicon.get(step.step)
        for thing in entry.removes if entry else ():
            if thing in (members(scene.lexicon, "removable")) and step.completion == "said" and step.evidence:
                removed.add(thing, "affirmed", step.evidence[-1])
