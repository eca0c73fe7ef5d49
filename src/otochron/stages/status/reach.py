"""How far a denial or a doubt reaches: noun phrases, lists, verbs and their qualities."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from otochron.stages.status.cues import Cue
from otochron.stages.status.grammar import Grammar
from otochron.stages.status.segments import Edge, Segments
from otochron.text.stream import Word

Target = tuple[int, int, str]
"""Words ``first`` to ``last`` (half-open) and the kind of what they name."""

QUALITIES = frozenset({"finding", "disease", "complication"})
"""Kinds that the denial of any verb denies; of other kinds the thing itself must be denied."""
_MADE = frozenset({"procedure", "graft", "implant", "drug", "packing", "specimen"})
"""Kinds that are done, put or given: "we do not do a …" denies them, "we do not move the …" does not."""
_NEAR = 7
"""A denial or a doubt reaches so many words, counted anew after each joining word (NegEx: 5)."""


class Reach:
    """Finds the targets that one cue holds."""

    def __init__(
        self,
        words: Sequence[Word],
        targets: Sequence[Target],
        grammar: Grammar,
        segments: Segments,
        cues: Sequence[Cue],
    ) -> None:
        self.words = words
        self.targets = targets
        self.grammar = grammar
        self.segments = segments
        self.starts = [target[0] for target in targets]
        self.times = {cue.first for cue in cues if cue.role in ("time-to-come", "planned-later", "past-case")}

    def among(self, first: int, last: int) -> range:
        """Give the numbers of the targets that start among some words."""
        return range(bisect_left(self.starts, first), bisect_left(self.starts, last))

    def things(self, cue: Cue) -> list[int]:
        """Give the noun that follows a cue, and those coordinated with it: "no tear or bleeding"."""
        found: list[int] = []
        reached = cue.last
        for n in self.among(cue.last, self.segments.end(cue.last - 1, Edge.SUBJECT)):
            first, last, kind = self.targets[n]
            gap = range(reached, first)
            if self._within(found, n):
                found.append(n)
                continue
            if (found and not self._joined(reached, first)) or self._far(gap):
                break
            if self._other_statement(gap) or self.grammar.among(gap, "company"):
                break
            if kind not in QUALITIES and self._is_place(gap, cue):
                break
            found.append(n)
            reached = last
        return found

    def predicate(self, cue: Cue) -> list[int]:
        """Give what a denied verb denies: a quality, or a thing that is not seen, had or found."""
        grammar = self.grammar
        if cue.last < len(self.words) and grammar.at(cue.last, "indefinite"):
            return self.things(cue)
        found: list[int] = []
        reached = cue.last
        was_there = grammar.between("existence", max(0, cue.first - 2), cue.first)
        for n in self.among(cue.last, self.segments.end(cue.last - 1, Edge.SUBJECT)):
            first, last, kind = self.targets[n]
            gap = range(reached, first)
            if self._within(found, n):
                found.append(n)
                continue
            if self._far(gap) or (found and not self._joined(reached, first)) or self._other_statement(gap):
                break
            if kind in QUALITIES and self._is_of_a_part(gap, first):
                continue
            led = any(grammar.at(p, "locative") and grammar.at(p + 1, "article") for p in gap)
            if kind not in QUALITIES or led or grammar.among(gap, "determiner"):
                there = was_there or grammar.among(range(cue.first, first), "existence")
                acts = any(not grammar.at(p, "existence", "determiner", "coordinator", "addition") for p in gap)
                made = kind in _MADE and grammar.among(gap, "indefinite") and not self._is_led(first)
                if not made and (not there or (acts and kind not in QUALITIES)):
                    continue
            found.append(n)
            reached = last
        return found

    def doubted(self, cue: Cue) -> list[int]:
        """Give what follows a doubt: the quality where one is named, else the thing."""
        inside: list[int] = []
        reached = cue.last
        for n in self.among(cue.last, self.segments.end(cue.last - 1, Edge.SUBJECT)):
            first, last, kind = self.targets[n]
            gap = range(reached, first)
            if self._far(gap):
                break
            place = self.grammar.among(gap, "locative") or (inside and self.grammar.among(gap, "belonging"))
            if kind not in QUALITIES and place:
                continue
            inside.append(n)
            reached = last
        return [n for n in inside if self.targets[n][2] in QUALITIES] or inside

    def before(self, cue: Cue) -> list[int]:
        """Give the nearest thing before a cue, and those joined to it: "tears and leaks are ruled out"."""
        if self.segments.is_edge(cue.first, Edge.CLAUSE):
            return []
        first = self.segments.start(cue.first - 1, Edge.TURN)
        numbers = [n for n in self.among(first, cue.first) if self.targets[n][1] >= cue.first - _NEAR]
        other = numbers and self.grammar.among(range(self.targets[numbers[-1]][1], cue.first), "determiner", "finite")
        if not numbers or (other and cue.role != "uncertainty-after"):
            return []
        nearest = self.targets[numbers[-1]]
        if nearest[2] not in QUALITIES and self._is_led(nearest[0]):
            return numbers[-2:-1]
        found = numbers[-1:]
        for n in reversed(numbers[:-1]):
            if not self._joined(self.targets[n][1], self.targets[n + 1][0]):
                break
            found.append(n)
        return found

    def without(self, cue: Cue) -> list[int]:
        """Give what "without" denies: a thing, not what an act is done to."""
        return [] if self._acts(cue.last) else self.things(cue)

    def _acts(self, place: int) -> bool:
        """Tell whether a verb follows a denial ("sans tirer"): what it acts on is there."""
        while self.grammar.at(place, "clitic"):
            place += 1
        if self.among(place, place + 1) or self.grammar.at(place, "existence"):
            return False
        noun = self.grammar.at(place, "gerund") and not self.grammar.at(place + 1, "determiner")
        return self.grammar.at(place, "infinitive") and not noun

    def _is_of_a_part(self, gap: range, first: int) -> bool:
        """Tell whether only a part of a thing is denied: "I can't see the bottom of that pocket"."""
        grammar = self.grammar
        before = next((p for p in (first - 1, first - 2) if p in gap and grammar.at(p, "belonging")), None)
        return before is not None and any(grammar.at(p, "article", "determiner") for p in range(gap.start, before))

    def _is_led(self, place: int) -> bool:
        """Tell whether a preposition leads a thing in: it is where something is."""
        before = place - 2 if self.grammar.at(place - 1, "determiner", "article") else place - 1
        return self.grammar.at(before, "locative", "belonging")

    def _joined(self, first: int, last: int) -> bool:
        """Tell whether a comma or a coordinator stands between two things."""
        return any(
            self.grammar.at(p, "coordinator", "addition") or self.words[p - 1].mark == ","
            for p in range(first, last + 1)
        )

    def _within(self, found: Sequence[int], n: int) -> bool:
        """Tell whether a target shares words with the one found before: "the left ear" holds the ear."""
        return bool(found) and self.targets[n][0] < self.targets[found[-1]][1]

    def _far(self, gap: range) -> bool:
        """Tell whether a gap is too long, counting anew after a comma or a coordinator."""
        near = gap.start
        for p in gap:
            if self.grammar.at(p, "coordinator", "addition") or self.words[p].mark == ",":
                near = p + 1
        return gap.stop - near > _NEAR

    def _is_place(self, gap: range, cue: Cue) -> bool:
        """Tell whether a preposition makes the next thing a place, or a whole of which a part is denied."""
        return self.grammar.among(gap, "locative") or any(self.grammar.at(p, "belonging") for p in gap if p > cue.last)

    def _other_statement(self, gap: range) -> bool:
        """Tell whether a gap holds the head of another statement: a verb, a time, an article not led in."""
        grammar = self.grammar
        for p in gap:
            if p in self.times or grammar.at(p, "relation") or (p > gap.start and grammar.at(p, "finite")):
                return True
            if p > gap.start and grammar.at(p - 1, "addition") and grammar.at(p, "determiner", "article"):
                return True
            led_in = ("locative", "belonging", "coordinator", "addition", "existence", "complement")
            if p > gap.start and grammar.at(p, "determiner") and not grammar.at(p - 1, *led_in):
                return True
        return False


def is_inside(cue: Cue, targets: Sequence[Target], starts: Sequence[int]) -> bool:
    """Tell whether a cue is part of a longer term."""
    n = bisect_left(starts, cue.first + 1) - 1
    if n < 0:
        return False
    first, last, _ = targets[n]
    return first <= cue.first and cue.last <= last and (cue.last - cue.first) < (last - first)


def bare(words: Sequence[Word], target: Target) -> Target:
    """Give a target without the elided words at its head: "d'arche" is the arch."""
    first, last, kind = target
    while first < last - 1 and words[first].key.endswith("'"):
        first += 1
    return first, last, kind
