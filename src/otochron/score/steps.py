"""Scores of the timeline: one step label per second against gold's, ``none`` included."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from otochron.score import measures
from otochron.score.gold import Gold
from otochron.score.places import HeardPlaces, Terms
from otochron.score.words import Numbers, Part

NONE = "none"


@dataclass
class Frames:
    """One label per second of one recording: gold's and the record's."""

    gold: list[str]
    made: list[str]


def frames(gold: Gold, places: HeardPlaces, terms: Terms) -> tuple[Frames, Part]:
    """Label every second; planned and abandoned steps are no label."""
    record = places.record
    steps = [s for s in gold.steps if s.status == "done"]
    end_s = max([s.end for s in steps] + [s.end for s in gold.sentences] + [record.recording.duration_ms / 1000, 0])
    length = int(end_s) + 1 if steps or record.steps else 0
    wanted = [NONE] * length
    for step in steps:
        name = _name(step.label, terms, gold.procedures)
        for second in range(int(step.start), min(length, int(step.end + 0.5))):
            wanted[second] = name
    made = [NONE] * length
    for one in record.steps:
        if one.status == "done":
            for second in range(one.start_ms // 1000, min(length, (one.end_ms + 500) // 1000)):
                made[second] = _name(one.step, terms)
    part = Part({"seconds": length, "right": sum(a == b for a, b in zip(wanted, made, strict=True))})
    start = 0
    for n in range(1, length + 1):
        if n == length or (wanted[n], made[n]) != (wanted[start], made[start]):
            if wanted[start] != made[start] and n - start >= 3:
                part.miss("step", start, "", until=n, gold=wanted[start], made=made[start])
            start = n
    for planned in gold.steps:
        if planned.status != "done":
            part.counts["not_done"] = part.counts.get("not_done", 0) + 1
            name = _name(planned.label, terms, gold.procedures)
            right = any(_name(s.step, terms) == name and s.status == planned.status for s in record.steps)
            part.counts["not_done_right"] = part.counts.get("not_done_right", 0) + right
            if not right:
                part.miss("step not done", planned.start, "", gold=name, status=planned.status)
    return Frames(wanted, made), part


def _name(label: str, terms: Terms, procedures: Sequence[str] = ()) -> str:
    """Give the step that a label names; a name that several steps share is narrowed by the procedures of the gold.

    A step that is a variant of a shared one (``broader``) counts as that one, in gold and record alike.
    """
    concepts = sorted(c for c in terms.concepts(label) if terms.lexicon[c].kind == "step")
    usual = {step for name in procedures for p in terms.concepts(name) for step in terms.lexicon[p].order}
    chosen = next((c for c in concepts if c in usual), concepts[0] if concepts else label)
    entry = terms.lexicon.get(chosen)
    return entry.broader[0] if entry and entry.broader and entry.broader[0] in terms.lexicon else chosen


def step_numbers(pairs: Sequence[Frames]) -> Numbers:
    """Give frame-wise accuracy at 1 Hz, F1@10/25/50, edit score, kappa, boundary error; over several recordings.

    Accuracy and kappa pool the seconds; segment measures are means over the recordings, as published work does.
    """
    pairs = [pair for pair in pairs if pair.gold]
    if not pairs:
        return {"seconds": 0}
    gold = [label for pair in pairs for label in pair.gold]
    made = [label for pair in pairs for label in pair.made]
    numbers: Numbers = {
        "seconds": len(gold),
        "accuracy": measures.frame_accuracy(gold, made),
        "kappa": measures.cohen_kappa(gold, made),
        "edit": _mean([measures.edit_score(p.gold, p.made) for p in pairs]),
    }
    for percent in (10, 25, 50):
        numbers[f"f1@{percent}"] = _mean([measures.segmental_f1(p.gold, p.made, percent / 100) for p in pairs])
    errors = [e for p in pairs for e in measures.boundary_errors(p.gold, p.made)]
    numbers["boundary_median_s"] = statistics.median(errors) if errors else None
    numbers["segments_gold"] = sum(s[0] != NONE for p in pairs for s in measures.segments(p.gold))
    numbers["segments_made"] = sum(s[0] != NONE for p in pairs for s in measures.segments(p.made))
    return numbers


def _mean(values: Sequence[float | None]) -> float | None:
    known = [v for v in values if v is not None]
    return sum(known) / len(known) if known else None
