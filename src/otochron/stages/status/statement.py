"""Cues that colour a whole statement: supposed, planned, a rule, another day, asked."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from otochron.model import Status
from otochron.stages.status.cues import Cue
from otochron.stages.status.grammar import Grammar
from otochron.stages.status.segments import Edge, Segments
from otochron.text.stream import Word

_REACHES: dict[str, tuple[Status, Edge]] = {
    "condition": ("hypothetical", Edge.CONTRAST),
    "inversion-condition": ("hypothetical", Edge.CONTRAST),
    "would": ("hypothetical", Edge.SUBJECT),
    "prevention": ("hypothetical", Edge.SUBJECT),
    "else": ("hypothetical", Edge.SUBJECT),
    "question": ("uncertain", Edge.SUBJECT),
    "question-head": ("uncertain", Edge.SUBJECT),
    "inversion": ("uncertain", Edge.SUBJECT),
    "planned-now": ("planned", Edge.SUBJECT),
    "planned-go": ("planned", Edge.SUBJECT),
    "wish": ("planned", Edge.SUBJECT),
    "planned-later": ("planned", Edge.SUBJECT),
    "time-to-come": ("planned", Edge.SUBJECT),
    "duration": ("planned", Edge.SUBJECT),
    "habit": ("general", Edge.TURN),
    "habit-adverb": ("general", Edge.TURN),
    "past-case": ("past", Edge.TURN),
    "past-had": ("past", Edge.SUBJECT),
    "taken-up": ("general", Edge.TURN),
    "other-case": ("past", Edge.TURN),
    "family": ("past", Edge.SUBJECT),
}
"""Roles that colour the whole statement: the status they give, and the edge at which they end."""
_CONDITIONS = frozenset({"condition", "inversion-condition"})
_NEAR_SUBJECT = 3
_TO_INFINITIVE = 4
_TO_PARTICIPLE = 6
"""Words from "had" to "been" in "had the arch been missing"."""
_LONGEST_TOPIC = 4
"""Words between an indefinite article and what takes its noun up."""
_AT_ONCE_MS = 2000
"""What follows from a condition may be the next clause, if it comes within this time."""

Covered = tuple[int, int, Status]
"""Words ``first`` to ``last`` (half-open) and what they are."""


class Statements:
    """Reads the cues of whole statements in one stream."""

    def __init__(self, words: Sequence[Word], grammar: Grammar, segments: Segments, cues: Sequence[Cue]) -> None:
        self.words = words
        self.grammar = grammar
        self.segments = segments
        self.cues = cues

    def cover(self, cue: Cue) -> Covered | None:
        """Give the words that a cue colours, or None where it does not count."""
        if cue.role not in _REACHES or not self._counts(cue):
            return None
        status, edge = _REACHES[cue.role]
        if cue.role == "taken-up":
            topic = self._topic(cue)
            return cue.first if topic is None else topic, self.segments.end(cue.last - 1, edge), status
        end = self._supposed(cue) if cue.role in _CONDITIONS else self.segments.end(cue.last - 1, edge)
        if status == "general" and self._only_when(cue, end):
            end = self.segments.end(end, edge)
        forward = cue.scope == "forward" or (status == "general" and not self._by_subject(cue))
        if cue.role in ("time-to-come", "duration") and self._is_past(cue):
            status = "past"
        return cue.first if forward else self.segments.start(cue.first, Edge.SUBORDINATE), end, status

    def _counts(self, cue: Cue) -> bool:
        """Tell whether a cue counts where it stands."""
        grammar = self.grammar
        match cue.role:
            case "habit-adverb" if grammar.at(cue.last, "past-form"):
                counts = self.segments.is_edge(cue.first, Edge.TURN)  # "never cut it": an order, "i never cut" is not
            case "habit-adverb":
                counts = self._heads(cue) or self._switched(cue.first) or self._by_subject(cue)
            case "question-head":
                counts = self._heads(cue)
            case "inversion" | "inversion-condition":
                counts = self._inverted(cue)
            case "planned-go":
                counts = self._announces(cue)
            case "wish":
                counts = grammar.at(cue.last, "article", "indefinite")
            case "else":
                counts = grammar.at(cue.last, "subject", "determiner")
            case "duration":
                counts = self._is_past(cue) or not self._has_verb(cue)
            case "past-case":
                counts = not self._looks_back(cue)
            case "taken-up":
                counts = self._topic(cue) is not None
            case "other-case":
                counts = self._is_past(cue)
            case _:
                counts = True
        return counts

    def _topic(self, cue: Cue) -> int | None:
        """Give the article of an indefinite noun that is taken up right after it: "une fistule ça se garde"."""
        grammar = self.grammar
        start = self.segments.start(cue.first, Edge.CLAUSE)
        for place in range(cue.first - 2, max(start, cue.first - 2 - _LONGEST_TOPIC) - 1, -1):
            if self.words[place + 1].mark == "." or grammar.at(place + 1, "finite", "subject", "existence"):
                return None
            if grammar.at(place, "indefinite") and not grammar.at(place, "belonging"):
                before = place - 1
                verbs = ("finite", "existence", "infinitive", "participle", "locative", "belonging", "past-form")
                led = before >= start and (grammar.at(before, *verbs) or self._in_cue(before))
                return None if led else place
        return None

    def _in_cue(self, place: int) -> bool:
        """Tell whether a word belongs to a cue."""
        return any(cue.first <= place < cue.last for cue in self.cues)

    def _announces(self, cue: Cue) -> bool:
        """Tell whether a verb follows "going to" or "on va", not a place."""
        after = range(cue.last, min(cue.last + _TO_INFINITIVE, len(self.words)))
        if self.words[cue.last - 1].language == "en":
            return bool(after) and not self.grammar.at(cue.last, "determiner", "article", "locative")
        return any(self.grammar.at(p, "infinitive") or self.words[p].language == "en" for p in after)

    def _has_verb(self, cue: Cue) -> bool:
        """Tell whether the statement of a cue has a verb."""
        first = self.segments.start(cue.first, Edge.SUBORDINATE)
        return self.grammar.between("finite", first, self.segments.end(cue.last - 1, Edge.SUBJECT))

    def _heads(self, cue: Cue) -> bool:
        """Tell whether a cue stands at the head of its statement, but for one small word."""
        return cue.first - self.segments.start(cue.first, Edge.TURN) <= 1

    def _inverted(self, cue: Cue) -> bool:
        """Tell whether a verb stands before its subject: "is the footplate …", "had the arch been …"."""
        grammar = self.grammar
        if not grammar.at(cue.last, "determiner", "subject") or grammar.at(cue.first - 1, "subject"):
            return False
        if cue.first == self.segments.start(cue.first, Edge.TURN):
            return True
        been = grammar.between("participle", cue.last, cue.last + _TO_PARTICIPLE)
        return been and cue.role == "inversion-condition"

    def _switched(self, place: int) -> bool:
        """Tell whether the language changes before a word: often a new statement."""
        return place > 0 and self.words[place - 1].language != self.words[place].language

    def _by_subject(self, cue: Cue) -> bool:
        """Tell whether a cue stands next to its subject: "i always", "je mets toujours"."""
        head = self.segments.start(cue.first, Edge.SUBORDINATE)
        return self.grammar.between("subject", max(head, cue.first - _NEAR_SUBJECT), cue.first)

    def _is_past(self, cue: Cue) -> bool:
        """Tell whether the statement of a cue is in a past tense."""
        first = self.segments.start(cue.first, Edge.SUBORDINATE)
        last = self.segments.end(cue.last - 1, _REACHES[cue.role][1])
        return self.grammar.between("past-tense", first, last)

    def _looks_back(self, cue: Cue) -> bool:
        """Tell whether a clause looks back inside this operation."""
        first, last = self.segments.start(cue.first, Edge.CLAUSE), self.segments.end(cue.first, Edge.CLAUSE)
        n = bisect_left(self.cues, first, key=lambda other: other.first)
        m = bisect_left(self.cues, last, key=lambda other: other.first)
        return any(other.role == "look-back" for other in self.cues[n:m])

    def _supposed(self, cue: Cue) -> int:
        """Give the end of a condition and of what would follow from it."""
        segments, grammar = self.segments, self.grammar
        end = segments.end(cue.last - 1, Edge.SUBJECT)
        leads = cue.first - segments.start(cue.first, Edge.CLAUSE) <= 1
        goes_on = leads and self._goes_on(end) and (not grammar.at(end, "own") or self._will(end))
        if segments.is_edge(end, Edge.CONTRAST) and not goes_on:
            return end
        would = False
        while True:
            before, end = end, segments.end(end, Edge.SUBJECT)
            if would and self._told_apart(end):
                return end
            would = would or self._holds(before, end, "would")
            own = grammar.at(end, "own") and not grammar.at(end, "addition")
            advice = self._goes_on(end) and any(grammar.at(p, "advice") for p in (end, end + 1))
            if own or segments.is_edge(end, Edge.CONTRAST):
                return segments.end(end, Edge.SUBJECT) if advice else end

    def _will(self, place: int) -> bool:
        """Tell whether a statement tells what one will do: "s'il reste un trou | je mettrai …"."""
        return self._holds(place, self.segments.end(place, Edge.SUBJECT), "planned-now", "would")

    def _told_apart(self, place: int) -> bool:
        """Tell whether a flat statement begins after what would follow: "… i would stop | the arch is there"."""
        grammar, end = self.grammar, self.segments.end(place, Edge.SUBJECT)
        if not grammar.at(place, "determiner") or grammar.at(place, "addition", "complement"):
            return False
        return grammar.between("finite", place, end) and not self._holds(place, end, "would", "condition")

    def _holds(self, first: int, last: int, *roles: str) -> bool:
        """Tell whether a cue of some roles begins among some words."""
        n = bisect_left(self.cues, first, key=lambda cue: cue.first)
        m = bisect_left(self.cues, last, key=lambda cue: cue.first)
        return any(cue.role in roles for cue in self.cues[n:m])

    def _only_when(self, cue: Cue, end: int) -> bool:
        """Tell whether a rule has only said when: "as a rule when it is thick | i add …"."""
        starts = [p for p in self.grammar.starts["when"] if cue.last <= p <= cue.last + 1]
        told = bool(starts) and self.segments.end(starts[0] + 1, Edge.SUBJECT) < end
        return bool(starts) and not told and self._goes_on(end)

    def _goes_on(self, place: int) -> bool:
        """Tell whether a clause follows the one before at once."""
        words = self.words
        return (
            self.segments.is_edge(place, Edge.CLAUSE)
            and place < len(words)
            and words[place].start_ms - words[place - 1].end_ms < _AT_ONCE_MS
        )
