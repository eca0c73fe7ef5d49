"""The ear of each step where both are operated: that of the section in which it is told."""

from __future__ import annotations

from otochron.lexicon.rules import members
from otochron.model import Record, Side, Step
from otochron.stages.case.scene import Scene


def with_ears(record: Record, scene: Scene) -> Record:
    """Give the record with the ear of its steps as the case tells it.

    Notes
    -----
    A side that is only named while a step runs ("serous on the left, mucoid on the right") does not change the ear
    that is operated; an act of changing over does. A step comes back only to the same ear.
    """
    if scene.side != "both" or not scene.sections:
        return record
    ears = [_ear(scene, step) for step in record.steps]
    first_of: dict[tuple[str, Side | None], str] = {}
    found: list[Step] = []
    for step, ear in zip(record.steps, ears, strict=True):
        if step.status != "done":
            found.append(step.evolve(side=ear))
            continue
        found.append(step.evolve(side=ear, revisit_of=first_of.get((step.step, ear))))
        first_of.setdefault((step.step, ear), step.id)
    return record.evolve(steps=tuple(found))


def _ear(scene: Scene, step: Step) -> Side | None:
    """Give the ear at the last word of a step's first evidence: a step that changes over is of the ear it goes to."""
    if step.step in members(scene.lexicon, "step-of-no-ear"):
        return None
    return scene.side_at(scene.reading.places.last(step.evidence[0]) - 1) if step.evidence else None
