"""Findings per structure, with their history. Rules: ``lexicons/rules/findings.toml``, ``lexicons/cues/found.toml``."""

from __future__ import annotations

from dataclasses import dataclass, field

from otochron.lexicon.rules import named, rules
from otochron.model import Finding, Seen, Side, Span
from otochron.stages.case.items import codes, unique
from otochron.stages.case.scene import Scene
from otochron.stages.case.telling import all_told
from otochron.stages.case.told import State


@dataclass
class _Known:
    structure: str | None
    finding: str
    side: Side | None
    seen: list[tuple[State, Span]] = field(default_factory=list)


def find_findings(scene: Scene) -> tuple[Finding, ...]:
    """Give the findings, each with the states in the order in which they were told.

    Notes
    -----
    What is told of the same structure again adds to one finding; the last state holds. When the opposite is
    told later ("fixed", then "mobile"), the first is no longer so. What was feared, planned, usual or of
    another day is no finding.
    """
    known: dict[tuple[str | None, str, Side | None], _Known] = {}
    opposite = {name: named(entry, name) for entry in rules(scene.lexicon, "opposite") for name in entry.values}
    for one in all_told(scene):
        key = (one.structure, one.finding, one.side)
        if one.implied and key in known and known[key].seen[-1][0] != one.state:
            continue  # "serous fluid, not glue": what was told itself stands
        known.setdefault(key, _Known(*key)).seen.append((one.state, one.span))
        if one.state == "present":
            for name in opposite.get(one.finding, ()):
                other = known.get((one.structure, name, one.side))
                if other and other.seen[-1][0] != "absent":
                    other.seen.append(("absent", one.span))
    return tuple(_finding(scene, found) for found in known.values())


def _finding(scene: Scene, found: _Known) -> Finding:
    history: list[Seen] = []
    for state, span in found.seen:
        if history and history[-1].status == state:
            history[-1] = history[-1].evolve(evidence=unique([*history[-1].evidence, span]))
        else:
            history.append(Seen(status=state, evidence=(span,)))
    concept = found.structure or found.finding
    return Finding(
        concept=concept,
        side=found.side,
        structure=found.structure,
        finding=found.finding,
        status=found.seen[-1][0],
        history=tuple(history),
        codes=codes(concept, scene.lexicon),
        evidence=unique(span for _, span in found.seen),
    )
