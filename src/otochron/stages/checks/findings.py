"""Doubt about findings: said and unsaid, and implants that do not fit the chain as found."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Check, Record
from otochron.stages.checks.wording import Wording


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Look where a finding is said to be there and not there, and where an implant does not fit.

    A thing feared, then looked for, then excluded is no contradiction: only flat statements count.
    """
    found: list[Check] = []
    for finding in record.case.findings:
        states = [seen.status for seen in finding.history if seen.status != "uncertain"]
        if "present" in states and "absent" in states and finding.attributes.get("changed_by") is None:
            spans = [span for seen in finding.history for span in seen.evidence]
            concepts = [c for c in (finding.structure, finding.finding) if c]
            found.append(wording.check("finding-contradiction", spans, what=wording.names(concepts)))
    return found + _fit(record, lexicon, wording)


def _fit(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    rules = [e for e in lexicon.of_kind("rule") if e.role == "implant-fit"]
    found: list[Check] = []
    for implant in record.case.implants:
        if implant.status != "affirmed":
            continue
        for rule in rules:
            if implant.concept not in rule.of:
                continue
            for finding in record.case.findings:
                if (
                    finding.structure in rule.targets
                    and finding.finding in rule.reports
                    and finding.status == rule.values.get("status", "present")
                ):
                    evidence = [*implant.evidence[:1], *finding.evidence[:1]]
                    names = wording.names([c for c in (finding.structure, finding.finding) if c])
                    found.append(
                        wording.check("implant-fit", evidence, implant=wording.name(implant.concept), finding=names)
                    )
    return found
