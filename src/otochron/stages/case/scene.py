"""What every family of facts needs: the reading, the operated ear at a time, and who did what to what."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cached_property

from otochron.lexicon import Lexicon
from otochron.lexicon.reading import Reading, Spot
from otochron.model import Record, Side, Span, Status, Step

THINGS = frozenset({"structure", "landmark", "implant", "graft", "finding", "disease", "material", "packing", "drug"})
_REACH = 14
_COST_OF_BREAK = 5
_SHORT = 5
_ROUND = 6
_SUBJECT = 3
_LED = 5
_SIDE_BEFORE, _SIDE_AFTER = 4, 3


@dataclass(frozen=True, slots=True)
class Act:
    """An act that is spoken of, and the thing nearest to it that it may be done to."""

    verb: Spot
    object: Spot | None


@dataclass
class Scene:
    """One recording, ready to be asked."""

    record: Record
    lexicon: Lexicon
    reading: Reading
    side: Side | None = None
    sections: list[tuple[int, Side]] = field(default_factory=list)
    """From which word on which ear is operated, where both are."""

    def side_at(self, place: int) -> Side | None:
        """Give the ear at a word, where both ears are operated in one sitting."""
        if self.side != "both":
            return None
        n = bisect_right([first for first, _ in self.sections], place) - 1
        return self.sections[n][1] if n >= 0 else None

    def side_told(self, first: int, last: int) -> Side | None:
        """Give the ear that is said right beside some words, where both are operated: "mucoid on the right"."""
        if self.side != "both":
            return None
        reading = self.reading
        sides = [s for s in reading.among(first - _SIDE_BEFORE, last + _SIDE_AFTER) if s.concept in ("left", "right")]
        after = [s for s in sides if s.first >= last and reading.breaks(last - 1, s.first) == 0]
        before = [s for s in sides if s.last <= first and reading.breaks(s.last - 1, first) == 0]
        if before and after:  # "serous on the left, mucoid on the right": a side that follows a finding is of that
            led = [
                s for s in reading.among(before[-1].first - _SIDE_BEFORE, before[-1].first) if self.kind(s) == "finding"
            ]
            after = after if any(s.last >= before[-1].first - 1 for s in led) else []
        told = after[:1] or before[-1:]
        return "left" if told and told[0].concept == "left" else "right" if told else None

    def span(self, spot: Spot) -> Span:
        """Give the bare span of a mention."""
        return spot.mention.span()

    def kind(self, spot: Spot) -> str:
        """Give the kind of what is named or referred to."""
        entry = self.lexicon.get(spot.concept)
        return entry.kind if entry else spot.mention.kind

    def specific(self, concept: str) -> str:
        """Give the one kind of a thing that is spoken of as there, where only its general name is said."""
        return self._kinds.get(concept, concept)

    @cached_property
    def _kinds(self) -> dict[str, str]:
        found: dict[str, dict[str, int]] = {}
        for spot in self.reading.spots:
            entry = self.lexicon.get(spot.mention.concept)
            if entry is None or entry.kind != "implant" or spot.mention.status != "affirmed":
                continue
            for name in entry.broader:
                found.setdefault(name, {}).setdefault(entry.id, 0)
                found[name][entry.id] += 1
        return {name: max(sorted(kinds), key=lambda k: kinds[k]) for name, kinds in found.items()}

    def kind_of(self, concept: str | None) -> str:
        """Give the kind of a concept, "" for none."""
        entry = self.lexicon.get(concept)
        return entry.kind if entry else ""

    @cached_property
    def done_steps(self) -> list[Step]:
        """Steps that were done, in order; not those whose product is only planned, denied or supposed."""
        return [step for step in self.record.steps if step.status == "done" and not self._is_unreal(step)]

    def _is_unreal(self, step: Step) -> bool:
        entry = self.lexicon.get(step.step)
        made = {name for name in entry.produces if self.lexicon[name].kind == "implant"} if entry else set()
        if not made or not step.evidence:
            return False
        if step.completion == "unsaid":
            return True
        first = self.reading.places.first(step.evidence[0]) - _ROUND
        last = self.reading.places.last(step.evidence[-1]) + _ROUND
        told = {s.mention.status for s in self.reading.among(first, last) if s.mention.concept in made}
        return bool(told) and "affirmed" not in told

    def step_at(self, ms: int) -> Step | None:
        """Give the step that runs at a time."""
        n = bisect_right(self._step_starts, ms) - 1
        if n < 0:
            return None
        step = self.done_steps[n]
        return step if ms < step.end_ms else None

    @cached_property
    def _step_starts(self) -> list[int]:
        return [step.start_ms for step in self.done_steps]

    @cached_property
    def acts(self) -> list[Act]:
        """All acts with their objects."""
        return [Act(spot, self.object_of(spot)) for spot in self.reading.spots if spot.mention.kind == "action"]

    def object_of(self, verb: Spot, kinds: frozenset[str] = THINGS) -> Spot | None:
        """Give the thing that an act is done to: what follows it at once, else what was named before."""
        reading = self.reading
        own = [s for s in reading.among(verb.first - 2, verb.last + 1) if s.mention.kind == "reference"]
        if own:
            return own[-1]
        led = [s for s in reading.among(verb.first - _LED, verb.first) if s.last == verb.first]
        if led and self.kind(led[-1]) == "finding" and led[-1].last - led[-1].first == 1:
            led = [s for s in reading.among(verb.first - _LED, verb.first) if s.last == led[-1].first] or led
        if led and self._is_participle(verb) and self.kind(led[-1]) in kinds and led[-1].concept:
            return led[-1]  # "tête du marteau retirée": the thing stands right before its participle
        if self._is_passive(verb):
            first, _ = reading.statement(verb.first)
            done = [s for s in reading.among(first, verb.first) if self.kind(s) in kinds and s.concept]
            if done:
                return done[-1]  # "l'arche est sortie": what follows is another thing
        ahead = [
            s
            for s in reading.among(verb.last, verb.last + 8)
            if self.kind(s) in kinds and s.concept and not self._is_beside(verb, s)
        ]
        for spot in ahead:
            if reading.breaks(verb.last - 1, spot.first) == 0:
                return spot
        before = [s for s in reading.among(verb.first - _REACH, verb.first) if self.kind(s) in kinds and s.concept]
        if before:
            return before[-1]
        near = [s for s in ahead if reading.breaks(verb.last - 1, s.first) <= 1 and s.first - verb.last <= 4]
        return near[0] if near else None

    def _is_beside(self, verb: Spot, spot: Spot) -> bool:
        """Tell whether an act is done beside a thing, not to it: "snip the neck above the chorda"."""
        reading = self.reading
        hits = reading.cues(max(verb.last, spot.first - _LED), spot.first, "beside")
        return any(not reading.among(hit.last, spot.first) for hit in hits)

    def _is_passive(self, verb: Spot) -> bool:
        """Tell whether an act was done to what stands before it: "l'arche est sortie", not "is removing"."""
        rule = self.lexicon.get("verb-endings")
        gerund = rule.values.get("gerund-en", ()) if rule else ()
        word = self.reading.words[verb.first].text.casefold()
        led = any(hit.last == verb.first for hit in self.reading.cues(max(0, verb.first - 2), verb.first, "being"))
        return led and not (isinstance(gerund, tuple) and word.endswith(gerund))

    def _is_participle(self, verb: Spot) -> bool:
        """Tell by its ending whether one word of an act is a form that may follow its thing: removed, retirée."""
        rule = self.lexicon.get("verb-endings")
        word = self.reading.words[verb.first]
        endings = rule.values.get("past-form-fr" if word.language == "fr" else "past-form-en", ()) if rule else ()
        return verb.last - verb.first == 1 and word.text.casefold().endswith(
            endings if isinstance(endings, tuple) else ()
        )

    def distance(self, one: Spot, two: Spot) -> int:
        """Words between two mentions, each statement that begins between them counted as several."""
        if one.first < two.first:
            return max(0, two.first - one.last) + _COST_OF_BREAK * self.reading.breaks(one.last - 1, two.first)
        return max(0, one.first - two.last) + _COST_OF_BREAK * self.reading.breaks(two.last - 1, one.first)

    def is_supposed(self, first: int, last: int) -> bool:
        """Tell whether a "would" or a French conditional stands among some words."""
        if self.reading.has(first, last, "would"):
            return True
        rule = self.lexicon.get("verb-endings")
        endings = rule.values.get("conditional", ()) if rule else ()
        ends = endings if isinstance(endings, tuple) else ()
        words = self.reading.words[max(0, first) : last]
        return any(w.language == "fr" and len(w.key) > _SHORT and w.key.endswith(ends) for w in words)

    def is_request(self, spot: Spot) -> bool:
        """Tell whether a mention stands in words to the staff; "I take it out" is none, whoever listens."""
        if self.reading.register(spot.first) != "request":
            return False
        return spot.mention.kind != "action" or not self.reading.has(spot.first - _SUBJECT, spot.last, "doer")


def is_told(status: Status) -> bool:
    """Tell whether a statement is of this operation, done or there or denied or doubted."""
    return status in ("affirmed", "negated", "uncertain")
