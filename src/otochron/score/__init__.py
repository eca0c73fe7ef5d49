"""Measure records against hand-made gold files: per recording and in all, with every miss."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.score.facts import fact_numbers, score_facts
from otochron.score.gold import Gold, read_gold
from otochron.score.mentions import (
    measurement_numbers,
    mention_numbers,
    score_measurements,
    score_mentions,
    status_numbers,
)
from otochron.score.places import HeardPlaces, Terms
from otochron.score.steps import Frames, frames, step_numbers
from otochron.score.words import (
    Numbers,
    Part,
    language_numbers,
    repair_numbers,
    score_languages,
    score_repairs,
)

__all__ = ["Score", "read_gold", "score_record", "total"]

_COUNTED: dict[str, Callable[[dict[str, int]], Numbers]] = {
    "language": language_numbers,
    "repairs": repair_numbers,
    "mentions": mention_numbers,
    "measurements": measurement_numbers,
    "facts": fact_numbers,
}


@dataclass
class Score:
    """The score of one recording, or of several added up."""

    name: str
    parts: dict[str, Part]
    statuses: list[tuple[str, str]] = field(default_factory=list)
    frames: list[Frames] = field(default_factory=list)

    def numbers(self) -> dict[str, Numbers]:
        """Give every measure by part."""
        found = {name: of_counts(self.parts[name].counts) for name, of_counts in _COUNTED.items()}
        found["status"] = status_numbers(self.statuses)
        found["steps"] = step_numbers(self.frames)
        counts = self.parts["steps"].counts
        found["steps"] |= {
            "not_done": counts.get("not_done", 0),
            "not_done_right": counts.get("not_done_right", 0),
        }
        order = ("language", "repairs", "mentions", "status", "measurements", "steps", "facts")
        return {name: found[name] for name in order}

    def misses(self) -> list[dict[str, object]]:
        """Give every miss of every part, with its time and line."""
        return [{"part": name, **miss} for name, part in self.parts.items() for miss in part.misses]


def score_record(gold: Gold, record: Record, lexicon: Lexicon) -> Score:
    """Measure one record against its gold."""
    places, terms = HeardPlaces(record), Terms(lexicon)
    mentions, statuses = score_mentions(gold, places, terms)
    timeline, steps = frames(gold, places, terms)
    parts = {
        "language": score_languages(gold, places),
        "repairs": score_repairs(gold, places, terms),
        "mentions": mentions,
        "measurements": score_measurements(gold, places, terms),
        "steps": steps,
        "facts": score_facts(gold, record, terms),
    }
    return Score(gold.id or record.recording.name, parts, statuses, [timeline])


def total(scores: Sequence[Score], name: str = "all") -> Score:
    """Add up several scores: counts are pooled, segment measures averaged."""
    parts: dict[str, Part] = {}
    for part in scores[0].parts if scores else ():
        counts: Counter[str] = Counter()
        for score in scores:
            counts.update(score.parts[part].counts)
        parts[part] = Part(dict(counts))
    return Score(name, parts, [s for score in scores for s in score.statuses], [f for s in scores for f in s.frames])
