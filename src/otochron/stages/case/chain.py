"""The state of the ossicular chain as found, from findings, what was taken out, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from otochron.lexicon.rules import closure, members, named, rules
from otochron.model import Finding, Span, Tissue
from otochron.stages.case.scene import Scene

_INVENTORY = 16
_FIXABLE = ("malleus", "malleus-head", "stapes", "stapes-footplate")


@dataclass
class Chain:
    """What is known of each part: there or not, why, and where it was said."""

    there: dict[str, bool] = field(default_factory=dict)
    because: list[str] = field(default_factory=list)
    evidence: list[Span] = field(default_factory=list)

    def note(self, part: str, there: bool, why: str, evidence: Sequence[Span]) -> None:
        """Note a part; a loss is never undone by what was seen before it."""
        if self.there.get(part) is False and there:
            return
        if self.there.get(part) != there:
            self.because = [b for b in self.because if not b.startswith(f"{part}:")]
            self.there[part] = there
            self.because.append(f"{part}: {why}")
            self.evidence += evidence

    @property
    def signs(self) -> set[str]:
        """Give the parts as a table of classes writes them."""
        return {f"{part}{'+' if there else '-'}" for part, there in self.there.items()}


def chain_of(scene: Scene, findings: Sequence[Finding], tissue: Tissue) -> Chain:
    """Read the state of the chain at the end of the exploration and removal."""
    chain = Chain()
    part_of = _part_of(scene)
    lost, there = members(scene.lexicon, "chain-lost"), members(scene.lexicon, "chain-there")
    for finding in findings:
        told = f"{finding.structure} {finding.finding}"
        if finding.structure == "ossicular-chain" and finding.finding == "intact" and finding.status == "present":
            for whole in ("malleus", "incus", "stapes"):
                chain.note(whole, True, told, finding.evidence)
        part = part_of.get(finding.structure or "")
        if part is None:
            continue
        if finding.finding in lost and finding.status == "present":
            chain.note(part, False, told, finding.evidence)
        elif finding.finding in there and finding.status == "present":
            chain.note(part, True, told, finding.evidence)
        if finding.finding == "fixed" and finding.status == "present" and finding.structure in _FIXABLE:
            chain.note("head-fixed" if part == "malleus" else "stapes-fixed", True, told, finding.evidence)
    for item in tissue.removed:
        if item.concept == "incus":
            chain.note("incus", False, "incus removed", item.evidence)
        if item.concept == "malleus":
            chain.note("malleus", False, "malleus removed", item.evidence)
    _inventory(scene, chain, part_of)
    return chain


def _part_of(scene: Scene) -> dict[str, str]:
    found: dict[str, str] = {}
    for entry in rules(scene.lexicon, "chain-part"):
        for part in entry.values:
            found |= dict.fromkeys(named(entry, part), part)
    return found


def _inventory(scene: Scene, chain: Chain, part_of: dict[str, str]) -> None:
    """Read an inventory: of "what is left is the malleus and the stapes", what is not listed is not there."""
    reading = scene.reading
    for hit in reading.hits("inventory"):
        listed = [
            s
            for s in reading.among(hit.last, hit.last + _INVENTORY)
            if s.concept and "ossicular-chain" in closure(scene.lexicon, s.concept) and s.mention.status == "affirmed"
        ]
        parts = {part_of.get(s.concept or "") for s in listed} - {None}
        names = {s.concept for s in listed}
        if len(listed) < 2:
            continue
        span = [reading.span(hit.first, listed[-1].last)]
        for part in ("malleus", "incus", "stapes"):
            if part in parts:
                chain.note(part, True, "what is left", span)
            elif (part == "stapes" and "stapes-footplate" in names) or part == "incus":
                chain.note(part, False, "what is left", span)
