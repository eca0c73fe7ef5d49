"""Procedures, done, planned or given up, and approaches. Rules: ``lexicons/procedures``, ``lexicons/rules/case.toml``."""

from __future__ import annotations

from otochron.model import Item, Span, Status
from otochron.stages.case.items import Drafts, in_order, item
from otochron.lexicon.rules import rules, value_of
from otochron.stages.case.scene import Scene

_TOLD: tuple[Status, ...] = ("affirmed", "planned", "negated", "hypothetical")


def find_procedures(scene: Scene) -> tuple[Item, ...]:
    """Give the procedures.

    Notes
    -----
    A procedure is done when one of the steps that it needs was done, or, where nothing tells which steps it
    needs, when it is spoken of as being done. One that is only planned, supposed or denied keeps that status.
    """
    drafts = Drafts()
    for spot in scene.reading.spots:
        if spot.mention.kind != "procedure" or spot.mention.status not in _TOLD:
            continue
        if scene.reading.register(spot.first) != "teaching":
            drafts.add(spot.concept, spot.mention.status, scene.span(spot))
    done = _by_steps(scene)
    for concept, spans in done.items():
        for span in spans:
            drafts.add(concept, "affirmed", span)
    found = []
    for draft in drafts.by_key.values():
        entry = scene.lexicon.get(draft.concept)
        needs = bool(entry and entry.needs)
        if draft.concept in done:
            status: Status = "affirmed"
        elif needs and scene.record.steps:
            status = next((s for s in draft.statuses[::-1] if s != "affirmed"), "planned")  # said, but not seen done
        else:
            status = _told(draft.statuses)
        if status == "negated" and "planned" in draft.statuses and "affirmed" not in draft.statuses:
            status = "negated"
        found.append(item(draft, status, scene.lexicon))
    return in_order(found)


def _told(statuses: list[Status]) -> Status:
    """Give the status of a procedure that only words tell: what was said last of it, an "if" last of all."""
    real = [s for s in statuses if s != "hypothetical"]
    return real[-1] if real else "hypothetical"


def _by_steps(scene: Scene) -> dict[str, list[Span]]:
    """Give the procedures of which a needed step was done, with its evidence."""
    found: dict[str, list[Span]] = {}
    steps: dict[str, list[Span]] = {}
    for step in scene.done_steps:
        steps.setdefault(step.step, []).extend(step.evidence)
    for entry in scene.lexicon.of_kind("procedure"):
        spans = [span for name in entry.needs for span in steps.get(name, ())]
        if spans:
            found[entry.id] = spans
    if "canal-wall-down-mastoidectomy" in found:
        found.pop("canal-wall-up-mastoidectomy", None)
    return found


def find_approaches(scene: Scene) -> tuple[Item, ...]:
    """Give the approaches: as named, by the cut that was made, else through the canal."""
    drafts = Drafts()
    for spot in scene.reading.spots:
        if scene.kind(spot) == "approach" and spot.mention.status in ("affirmed", "planned"):
            drafts.add(spot.concept, spot.mention.status, scene.span(spot))
    for step in scene.done_steps:
        approach = value_of(scene.lexicon, "approach-step", step.step)
        if approach and step.evidence:
            drafts.add(approach, "affirmed", step.evidence[0])
    outside = {v for entry in rules(scene.lexicon, "approach-step") for v in entry.values.values()}
    if not any(draft.concept in outside for draft in drafts.by_key.values()):
        for entry in rules(scene.lexicon, "approach-canal"):
            steps = [s for s in scene.done_steps if s.step in entry.of and s.evidence]
            if steps:
                draft = drafts.add(str(entry.values["approach"]), "affirmed", steps[0].evidence[0])
                draft.attributes["because"] = steps[0].step
    return in_order(
        item(d, "affirmed" if "affirmed" in d.statuses else "planned", scene.lexicon)
        for d in drafts.by_key.values()
    )
