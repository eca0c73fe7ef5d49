"""Doubt about acts: announced and never done, done and never said to be finished."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Check, Record
from otochron.stages.checks.wording import Wording


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Look at planned steps that nothing says were done; list the done ones that nothing says are finished."""
    del lexicon
    done = {step.step for step in record.steps if step.status == "done"}
    found = [
        wording.check("act-not-done", step.evidence, step=wording.name(step.step))
        for step in record.steps
        if step.status == "planned" and step.step not in done
    ]
    unsaid = [step for step in record.steps if step.status == "done" and step.completion == "unsaid"]
    if unsaid:
        names = wording.names(list(dict.fromkeys(step.step for step in unsaid)))
        found.append(wording.check("completion-unsaid", [s for step in unsaid for s in step.evidence[:1]], steps=names))
    return found
