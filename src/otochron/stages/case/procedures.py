"""Procedures, done, planned or given up, and approaches. Rules: ``lexicons/procedures``, ``rules/case.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import members, named, of_finding, rules, value_of
from otochron.model import Implant, Item, Span, Status
from otochron.stages.case.items import Drafts, in_order, item
from otochron.stages.case.scene import Scene
from otochron.stages.case.undone import is_before_the_operation

_TOLD: tuple[Status, ...] = ("affirmed", "planned", "negated", "hypothetical", "uncertain")
_BEFORE, _AFTER, _AGO = 8, 6, 5
_REASON = 3


def find_procedures(scene: Scene, implants: tuple[Implant, ...], grafts: tuple[Item, ...]) -> tuple[Item, ...]:
    """Give the procedures.

    Notes
    -----
    A procedure is done when one of the steps that it needs was done, when an implant that only it puts in is
    in, or when words tell that it was performed. One that is only named ("this is a stapedotomy") is planned;
    one that is supposed, considered, cancelled or denied keeps that status. The doubtful case is not done.
    """
    drafts = Drafts()
    for spot in scene.reading.spots:
        if spot.mention.kind != "procedure" or spot.mention.status not in _TOLD:
            continue
        if scene.reading.register(spot.first) != "teaching" or spot.mention.status in ("affirmed", "planned"):
            drafts.add(spot.concept, _status(scene, spot), scene.span(spot))
    done = [*_by_steps(scene).items(), *_by_implants(scene, drafts, implants).items(), *_by_grafts(scene, grafts)]
    for concept, spans in done:
        for span in spans:
            drafts.add(concept, "affirmed", span)
    _named_acts(scene, drafts)
    _stages(scene, drafts)
    return in_order(item(d, _told(d.statuses), scene.lexicon) for d in drafts.by_key.values())


def _stages(scene: Scene, drafts: Drafts) -> None:
    """Leave out the other names of today's stage: in a second stage "a second look" is no plan."""
    stages = [d for d in drafts.by_key.values() if d.concept in members(scene.lexicon, "stage-procedure")]
    if any("affirmed" in d.statuses for d in stages):
        drafts.drop([d for d in stages if set(d.statuses) <= {"planned"}])


def _named_acts(scene: Scene, drafts: Drafts) -> None:
    """Tell a procedure that was named as done where the step that it is was done."""
    for step in scene.done_steps:
        name = value_of(scene.lexicon, "step-procedure", step.step)
        for draft in drafts.by_key.values():
            if draft.concept == name:
                draft.said += [("affirmed", span) for span in step.evidence]


def _status(scene: Scene, spot: Spot) -> Status:
    """Give how one place tells a procedure; naming it is announcing it."""
    reading = scene.reading
    if reading.has(spot.first - _BEFORE, spot.first, "cancelled"):
        return "negated"
    if reading.has(spot.first - _BEFORE, spot.first, "considered"):
        return "hypothetical"
    if spot.mention.status == "planned" and _is_todays_stage(scene, spot):
        return "affirmed"
    if spot.mention.status != "affirmed" or reading.has(spot.first - _AGO, spot.first, "time-since"):
        return "past" if spot.mention.status == "affirmed" else spot.mention.status
    denied = reading.cues(max(0, spot.first - _BEFORE), spot.first, "negation-verb")
    if denied and not reading.breaks(denied[-1].first, spot.first):
        return "negated"
    listed = spot.first - _BEFORE * 2
    performed = reading.has(listed, spot.first, "performed-title") or _is_performed(scene, spot)
    return "affirmed" if performed or _is_todays_stage(scene, spot) else "planned"


def _is_todays_stage(scene: Scene, spot: Spot) -> bool:
    """Tell whether a name of a stage is today's operation: "second stage", before anything is opened."""
    return spot.concept in members(scene.lexicon, "stage-procedure") and is_before_the_operation(scene, spot)


def _is_performed(scene: Scene, spot: Spot) -> bool:
    """Tell whether words right round a procedure say that it is or was done."""
    reading = scene.reading
    after = reading.cues(spot.last, spot.last + _AFTER, "performed-after")
    before = reading.cues(max(0, spot.first - _AFTER), spot.first, "performed-before")
    if any(reading.breaks(spot.last - 1, hit.first) == 0 or hit.first - spot.last <= 2 for hit in after):
        return True
    return any(spot.first - hit.last <= 3 for hit in before)


def _told(statuses: list[Status]) -> Status:
    """Give the status that holds: done once is done; else what was said last, an "if" last of all."""
    if "affirmed" in statuses:
        return "affirmed"
    real = [s for s in statuses if s != "hypothetical"]
    return real[-1] if real else "hypothetical"


def _by_grafts(scene: Scene, grafts: tuple[Item, ...]) -> list[tuple[str, tuple[Span, ...]]]:
    """Give the procedure of each graft that only it lays: an ossicle between ossicles."""
    return [
        (name, graft.evidence)
        for graft in grafts
        if graft.status == "affirmed" and (name := value_of(scene.lexicon, "graft-procedure", graft.concept))
    ]


def _by_implants(scene: Scene, drafts: Drafts, implants: tuple[Implant, ...]) -> dict[str, tuple[Span, ...]]:
    """Give the procedure of each implant that is in, by the name that was said for it."""
    found: dict[str, tuple[Span, ...]] = {}
    said = {draft.concept for draft in drafts.by_key.values() if set(draft.statuses) & {"affirmed", "planned"}}
    for entry in rules(scene.lexicon, "implant-procedure"):
        for implant in implants:
            names = named(entry, implant.concept or "")
            if names and implant.status == "affirmed":
                name = next((n for n in names if n in said), names[0])
                found[name] = implant.evidence
    return found


def _by_steps(scene: Scene) -> dict[str, list[Span]]:
    """Give the procedures of which a needed step was done, with its evidence."""
    found: dict[str, list[Span]] = {}
    steps: dict[str, list[Span]] = {}
    for step in scene.done_steps:
        steps.setdefault(step.step, []).extend(step.evidence)
    for entry in scene.lexicon.of_kind("procedure"):
        spans = [span for name in entry.needs for span in steps.get(name, ())]
        wanted = next((int(str(rule.values["steps"])) for rule in of_finding(scene.lexicon, "needs-more", entry.id)), 1)
        if sum(name in steps for name in entry.needs) >= wanted:
            found[entry.id] = spans
    if "canal-wall-down-mastoidectomy" in found:
        found.pop("canal-wall-up-mastoidectomy", None)
    return found


def find_approaches(scene: Scene) -> tuple[Item, ...]:
    """Give the approaches: as named, by the cut that was made, else through the canal."""
    drafts = Drafts()
    for spot in scene.reading.spots:
        if spot.concept in members(scene.lexicon, "no-approach"):
            continue
        if scene.reading.has(spot.first - _REASON, spot.first, "reason"):
            continue  # "endaural, because a retroauricular hurts for a month"
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
        item(d, "affirmed" if "affirmed" in d.statuses else "planned", scene.lexicon) for d in drafts.by_key.values()
    )
