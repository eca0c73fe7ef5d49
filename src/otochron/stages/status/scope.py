"""Say which cues cover which targets, and what that makes of them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from otochron.lexicon import Lexicon
from otochron.model import Status
from otochron.stages.status.cues import Cue, Grammar, find_cues, read_grammar
from otochron.stages.status.segments import Edge, Segments
from otochron.text.stream import Word

Target = tuple[int, int, str]
"""Words ``first`` to ``last`` (half-open) and the kind of what they name."""

QUALITIES = frozenset({"finding", "disease", "complication", "event"})
"""Kinds that a verb's denial denies; of other kinds the thing itself must be denied."""
_ORDER: tuple[Status, ...] = (
    "retracted",
    "hypothetical",
    "general",
    "past",
    "negated",
    "uncertain",
    "planned",
)
_WHOLE: dict[str, tuple[Status, Edge]] = {
    "condition": ("hypothetical", Edge.CONTRAST),
    "would": ("hypothetical", Edge.SUBJECT),
    "prevention": ("hypothetical", Edge.SUBJECT),
    "question": ("uncertain", Edge.SUBJECT),
    "planned-now": ("planned", Edge.SUBJECT),
    "planned-later": ("planned", Edge.SUBJECT),
    "time-to-come": ("planned", Edge.SUBJECT),
    "habit": ("general", Edge.TURN),
    "habit-adverb": ("general", Edge.TURN),
    "inversion": ("uncertain", Edge.SUBJECT),
    "inversion-condition": ("hypothetical", Edge.CONTRAST),
    "past-case": ("past", Edge.TURN),
    "other-case": ("past", Edge.TURN),
}
"""Roles that cover the whole statement: the status they give, and the edge at which they end."""
_PLAIN = frozenset(_WHOLE) - {"habit-adverb", "inversion", "inversion-condition"}
_NEAR = 7
"""A denial or a doubt reaches so many words, counted anew after each thing it holds (NegEx: 5)."""
_BACK = 7


class Scopes:
    """One stream, its cues, and its targets in order."""

    def __init__(
        self,
        words: Sequence[Word],
        clauses: Sequence[tuple[int, int]],
        targets: Sequence[Target],
        lexicon: Lexicon,
    ) -> None:
        self.words = words
        self.targets = [_bare(words, target) for target in targets]
        self.starts = [target[0] for target in self.targets]
        self.grammar: Grammar = read_grammar(words, lexicon)
        self.cues = [cue for cue in find_cues(words, lexicon) if not self._inside_target(cue)]
        self.segments = Segments(words, clauses, self.grammar, self.cues)
        self.found: list[set[Status]] = [set() for _ in targets]

    def _inside_target(self, cue: Cue) -> bool:
        """Tell whether a cue is part of a longer term: "non-echo", "no reflow"."""
        n = bisect_left(self.starts, cue.first + 1) - 1
        if n < 0:
            return False
        first, last, _ = self.targets[n]
        return first <= cue.first and cue.last <= last and (cue.last - cue.first) < (last - first)

    def among(self, first: int, last: int) -> range:
        """Give the numbers of the targets that start among some words."""
        return range(bisect_left(self.starts, first), bisect_left(self.starts, last))

    def give(self, number: int, status: Status) -> None:
        """Note a status of a target."""
        self.found[number].add(status)

    def read(self) -> list[Status]:
        """Decide all targets."""
        for cue in self.cues:
            if cue.role in _PLAIN or (cue.role == "habit-adverb" and self._tells_rule(cue)):
                self._whole(cue)
            elif cue.role in ("inversion", "inversion-condition"):
                self._inverted(cue)
            elif cue.role == "negation-thing" or (cue.role == "answer-no" and not self._answers(cue)):
                self._things(cue, "negated")
            elif cue.role == "answer-non":
                self._adjacent(cue)
            elif cue.role == "negation-verb":
                self._verb(cue)
            elif cue.role == "negation-after":
                self._back(cue, "negated")
            elif cue.role in ("uncertainty", "fear"):
                self._doubt(cue)
            elif cue.role == "uncertainty-after":
                self._back(cue, "uncertain")
            elif cue.role == "retraction":
                self._take_back(cue)
            elif cue.role == "intact":
                self._intact(cue)
        return [next((s for s in _ORDER if s in found), "affirmed") for found in self.found]

    def _whole(self, cue: Cue) -> None:
        status, edge = _WHOLE[cue.role]
        segments = self.segments
        end = segments.end(cue.last - 1, edge)
        first = cue.first if cue.scope == "forward" else segments.start(cue.first, Edge.SUBORDINATE)
        clause = segments.start(cue.first, Edge.CLAUSE), segments.end(cue.first, Edge.CLAUSE)
        past = self.grammar.between("past-tense", first, end)
        if cue.role == "other-case" and not past:
            return
        if cue.role == "time-to-come" and past:
            status = "past"
        if cue.role == "past-case" and self._looks_back(*clause):
            return
        for n in self.among(first, end):
            self.give(n, status)

    def _tells_rule(self, cue: Cue) -> bool:
        """Tell whether an adverb of habit stands next to its subject or at the head of its statement."""
        head = self.segments.start(cue.first, Edge.TURN)
        return cue.first - head <= 1 or self.grammar.between("subject", max(head, cue.first - 3), cue.first)

    def _inverted(self, cue: Cue) -> None:
        """Read a verb before its subject as a question or a condition."""
        grammar = self.grammar
        if cue.first != self.segments.start(cue.first, Edge.TURN) or cue.last >= len(self.words):
            return
        if any(grammar.at(role, cue.last) for role in ("determiner", "subject")):
            self._whole(cue)

    def _answers(self, cue: Cue) -> bool:
        """Tell whether a bare "no" only answers, calls or tags: no noun follows it."""
        place = cue.last
        if place >= self.segments.end(cue.first, Edge.CLAUSE) or self.words[cue.first].mark:
            return True
        roles = ("determiner", "subject", "locative", "turn", "contrast", "existence", "finite")
        return any(self.grammar.at(role, place) for role in roles) or (
            self.grammar.at("indefinite", place) and self.words[place].key != "any"
        )

    def _adjacent(self, cue: Cue) -> None:
        """Deny a quality that follows at once."""
        for n in self.among(cue.last, cue.last + 1):
            if self.targets[n][2] in QUALITIES and self.segments.start(cue.first, Edge.CLAUSE) != cue.first:
                self.give(n, "negated")

    def _looks_back(self, first: int, last: int) -> bool:
        return any(cue.role == "look-back" for cue in self._cues_among(first, last))

    def _cues_among(self, first: int, last: int) -> list[Cue]:
        n = bisect_left(self.cues, first, key=lambda cue: cue.first)
        found: list[Cue] = []
        while n < len(self.cues) and self.cues[n].first < last:
            found.append(self.cues[n])
            n += 1
        return found

    def _things(self, cue: Cue, status: Status) -> None:
        """Deny the noun that follows, and those coordinated with it."""
        for n in self._chain(cue):
            self.give(n, status)

    def _chain(self, cue: Cue) -> list[int]:
        grammar = self.grammar
        end = self.segments.end(cue.last - 1, Edge.SUBJECT)
        chain: list[int] = []
        reached = cue.last
        for n in self.among(cue.last, end):
            first, last, kind = self.targets[n]
            gap = range(reached, first)
            joined = any(
                grammar.at("coordinator", p) or self.words[p - 1].mark == ","
                for p in range(reached, first + 1)
            )
            if chain and not joined:
                break
            if self._far(gap, cue.last if not chain else reached):
                break
            if (
                any(grammar.at("locative", p) for p in gap)
                and kind not in QUALITIES
                and not self._of(gap, cue)
            ):
                break
            if self._second_noun(gap):
                break
            chain.append(n)
            reached = last
        return chain

    def _of(self, gap: range, cue: Cue) -> bool:
        """Tell whether the only preposition of a gap follows the cue at once: "no sign | of the"."""
        return not any(self.grammar.at("locative", p) for p in gap if p > cue.last)

    def _far(self, gap: range, since: int) -> bool:
        """Tell whether a gap is too long, counting anew after a comma or a coordinator."""
        near = since
        for p in gap:
            if self.grammar.at("coordinator", p) or self.words[p].mark == ",":
                near = p + 1
        return gap.stop - near > _NEAR

    def _second_noun(self, gap: range) -> bool:
        """Tell whether a gap holds a determiner that opens another noun phrase."""
        grammar = self.grammar
        for p in gap:
            if p == gap.start or not grammar.at("determiner", p):
                continue
            before = p - 1
            if not any(
                grammar.at(role, before) for role in ("locative", "coordinator", "existence", "complement")
            ):
                return self.words[before].mark != ","
        return False

    def _verb(self, cue: Cue) -> None:
        """Deny a quality that follows; of things only what is said not to be there."""
        grammar = self.grammar
        if cue.last < len(self.words) and grammar.at("indefinite", cue.last):
            self._things(cue, "negated")
            return
        end = self.segments.end(cue.last - 1, Edge.SUBJECT)
        exists = grammar.between("existence", max(0, cue.first - 2), cue.first)
        reached = cue.last
        done = False
        for n in self.among(cue.last, end):
            first, last, kind = self.targets[n]
            gap = range(reached, first)
            if self._far(gap, reached):
                return
            joined = any(
                grammar.at("coordinator", p) or self.words[p - 1].mark == ","
                for p in range(reached, first + 1)
            )
            if done and not joined:
                return
            if kind not in QUALITIES:
                there = exists or any(grammar.at("existence", p) for p in range(cue.first, first))
                acts = sum(not (grammar.at("existence", p) or grammar.at("determiner", p)) for p in gap)
                if not there or acts > 1 or any(grammar.at("locative", p) for p in gap):
                    continue
            self.give(n, "negated")
            reached, done = last, True

    def _back(self, cue: Cue, status: Status) -> None:
        """Deny or doubt the nearest thing before."""
        first = self.segments.start(max(0, cue.first - 1), Edge.TURN)
        numbers = [n for n in self.among(first, cue.first) if self.targets[n][1] >= cue.first - _BACK]
        if not numbers:
            return
        nearest = numbers[-1]
        self.give(nearest, status)
        for n in reversed(numbers[:-1]):
            gap = range(self.targets[n][1], self.targets[n + 1][0])
            if not any(
                self.grammar.at("coordinator", p) or self.words[p - 1].mark == ","
                for p in range(gap.start, gap.stop + 1)
            ):
                return
            self.give(n, status)

    def _doubt(self, cue: Cue) -> None:
        """Doubt what follows: the quality where one is named, else the thing."""
        status: Status = "uncertain" if cue.role == "uncertainty" else "hypothetical"
        end = self.segments.end(cue.last - 1, Edge.SUBJECT)
        grammar = self.grammar
        inside: list[int] = []
        reached = cue.last
        for n in self.among(cue.last, end):
            first, last, kind = self.targets[n]
            gap = range(reached, first)
            if self._far(gap, reached):
                break
            if kind not in QUALITIES and inside and any(grammar.at("locative", p) for p in gap):
                continue
            inside.append(n)
            reached = last
        qualities = [n for n in inside if self.targets[n][2] in QUALITIES]
        for n in qualities or inside:
            self.give(n, status)

    def _take_back(self, cue: Cue) -> None:
        """Take back the nearest thing before, where something of its kind follows or the words are plain."""
        clause = self.segments.start(max(0, cue.first - 1), Edge.CLAUSE)
        before = [n for n in self.among(clause, cue.first) if self.targets[n][1] >= cue.first - 4]
        after = self.among(cue.last, self.segments.end(cue.last - 1, Edge.CLAUSE))
        for n in reversed(before):
            kind = self.targets[n][2]
            if any(self.targets[m][2] == kind and self.targets[m][0] <= cue.last + 8 for m in after):
                self.give(n, "retracted")
                return

    def _intact(self, cue: Cue) -> None:
        """Deny an injury named beside a word of wholeness."""
        first = self.segments.start(cue.first, Edge.TURN)
        for n in self.among(first, self.segments.end(cue.last - 1, Edge.TURN)):
            if self.targets[n][2] == "complication" and not self.found[n]:
                self.give(n, "negated")


def _bare(words: Sequence[Word], target: Target) -> Target:
    """Give a target without the elided words at its head: "d'arche" is the arch."""
    first, last, kind = target
    while first < last - 1 and words[first].key.endswith("'"):
        first += 1
    return first, last, kind


def statuses(
    words: Sequence[Word],
    clauses: Sequence[tuple[int, int]],
    targets: Sequence[Target],
    lexicon: Lexicon,
    teaching: Sequence[bool] = (),
) -> list[Status]:
    """Give the status of each target.

    Parameters
    ----------
    words : sequence of Word
        The stream, with languages.
    clauses : sequence of (int, int)
        Words ``first`` to ``last`` (half-open) of each clause.
    targets : sequence of (int, int, str)
        Words ``first`` to ``last`` (half-open) and the kind of what they name, in any order.
    lexicon : Lexicon
        For its cues.
    teaching : sequence of bool
        For each clause, whether it is told to learners; what it says is a rule unless it points at this ear.

    Returns
    -------
    list of Status
        In the order of ``targets``.
    """
    order = sorted(range(len(targets)), key=lambda n: targets[n])
    scopes = Scopes(words, clauses, [targets[n] for n in order], lexicon)
    read = scopes.read()
    for (first, last), taught in zip(clauses, teaching, strict=False):
        if taught and not scopes.grammar.between("deixis", first, last):
            for n in scopes.among(first, last):
                read[n] = "general" if read[n] == "affirmed" else read[n]
    found: list[Status] = ["affirmed"] * len(targets)
    for place, status in zip(order, read, strict=True):
        found[place] = status
    return found
