"""Say which cues cover which targets, and what that makes of them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from otochron.lexicon import Lexicon
from otochron.model import Status
from otochron.stages.status.cues import Cue, find_cues
from otochron.stages.status.grammar import read_grammar
from otochron.stages.status.reach import QUALITIES, Reach, Target
from otochron.stages.status.segments import Edge, Segments
from otochron.text.stream import Word

_ORDER: tuple[Status, ...] = (
    "retracted",
    "hypothetical",
    "general",
    "negated",
    "past",
    "uncertain",
    "planned",
)
"""Where several cues cover a target the first of these holds."""
_WHOLE: dict[str, tuple[Status, Edge]] = {
    "condition": ("hypothetical", Edge.CONTRAST),
    "inversion-condition": ("hypothetical", Edge.CONTRAST),
    "would": ("hypothetical", Edge.SUBJECT),
    "prevention": ("hypothetical", Edge.SUBJECT),
    "question": ("uncertain", Edge.SUBJECT),
    "inversion": ("uncertain", Edge.SUBJECT),
    "planned-now": ("planned", Edge.SUBJECT),
    "planned-later": ("planned", Edge.SUBJECT),
    "time-to-come": ("planned", Edge.SUBJECT),
    "habit": ("general", Edge.TURN),
    "habit-adverb": ("general", Edge.TURN),
    "past-case": ("past", Edge.TURN),
    "other-case": ("past", Edge.TURN),
}
"""Roles that cover the whole statement: the status they give, and the edge at which they end."""
_MADE = frozenset({"procedure", "graft", "implant", "approach"})
"""Kinds that an announcement of the operation tells of."""
_TAKEN_BACK_WITHIN = 4
_PUT_RIGHT_WITHIN = 8


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
        self.grammar = read_grammar(words, lexicon)
        cues = find_cues(words, clauses, lexicon)
        starts = [target[0] for target in self.targets]
        self.cues = [cue for cue in cues if not _inside(cue, self.targets, starts)]
        self.segments = Segments(words, clauses, self.grammar, self.cues)
        self.reach = Reach(words, self.targets, self.grammar, self.segments, self.cues)
        self.found: list[set[Status]] = [set() for _ in targets]

    def read(self) -> list[Status]:
        """Decide all targets."""
        for cue in self.cues:
            for n, status in self._covered(cue):
                self.found[n].add(status)
        return [next((s for s in _ORDER if s in found), "affirmed") for found in self.found]

    def _covered(self, cue: Cue) -> list[tuple[int, Status]]:
        """Give the targets that a cue covers, each with the status it gives."""
        reach = self.reach
        match cue.role:
            case "negation-thing":
                return [(n, "negated") for n in reach.things(cue)]
            case "answer-no":
                return [] if self._answers(cue) else [(n, "negated") for n in reach.things(cue)]
            case "answer-non":
                return [(n, "negated") for n in self._adjacent(cue)]
            case "negation-verb":
                return [(n, "negated") for n in reach.predicate(cue)]
            case "negation-after":
                return [(n, "negated") for n in reach.before(cue)]
            case "intact":
                return [(n, "negated") for n in self._injuries(cue)]
            case "uncertainty":
                return [(n, "uncertain") for n in reach.doubted(cue)]
            case "uncertainty-after":
                return [(n, "uncertain") for n in reach.before(cue)]
            case "fear":
                return [(n, "hypothetical") for n in reach.doubted(cue)]
            case "unwanted":
                return [
                    (n, "hypothetical" if self.targets[n][2] in QUALITIES else "negated")
                    for n in reach.things(cue)
                ]
            case "retraction":
                return [(n, "retracted") for n in self._taken_back(cue)]
            case "announcement":
                return [(n, "planned") for n in self._announced(cue)]
            case "purpose":
                return [(n, "planned") for n in self._purpose(cue)]
            case role if role in _WHOLE and self._holds(cue):
                return self._whole(cue)
        return []

    def _holds(self, cue: Cue) -> bool:
        """Tell whether a cue that covers a whole statement counts where it stands."""
        grammar = self.grammar
        head = self.segments.start(cue.first, Edge.TURN)
        match cue.role:
            case "habit-adverb":
                return cue.first - head <= 1 or grammar.between(
                    "subject", max(head, cue.first - 3), cue.first
                )
            case "inversion":
                return cue.first == head and grammar.at(cue.last, "determiner", "subject")
            case "inversion-condition":
                return cue.first == head and grammar.at(cue.last, "determiner", "subject")
            case "past-case":
                clause = (
                    self.segments.start(cue.first, Edge.CLAUSE),
                    self.segments.end(cue.first, Edge.CLAUSE),
                )
                return not any(other.role == "look-back" for other in self._cues_among(*clause))
            case "other-case":
                return self._is_past(cue)
        return True

    def _is_past(self, cue: Cue) -> bool:
        _, edge = _WHOLE[cue.role]
        first = self.segments.start(cue.first, Edge.SUBORDINATE)
        return self.grammar.between("past-tense", first, self.segments.end(cue.last - 1, edge))

    def _whole(self, cue: Cue) -> list[tuple[int, Status]]:
        status, edge = _WHOLE[cue.role]
        end = self.segments.end(cue.last - 1, edge)
        first = cue.first if cue.scope == "forward" else self.segments.start(cue.first, Edge.SUBORDINATE)
        if cue.role == "time-to-come" and self._is_past(cue):
            status = "past"
        return [(n, status) for n in self.reach.among(first, end)]

    def _cues_among(self, first: int, last: int) -> list[Cue]:
        n = bisect_left(self.cues, first, key=lambda cue: cue.first)
        m = bisect_left(self.cues, last, key=lambda cue: cue.first)
        return self.cues[n:m]

    def _answers(self, cue: Cue) -> bool:
        """Tell whether a bare "no" only answers, calls or tags: no noun follows it."""
        place = cue.last
        if place >= self.segments.end(cue.first, Edge.CLAUSE) or self.words[cue.first].mark:
            return True
        others = ("determiner", "subject", "locative", "turn", "contrast", "existence", "finite")
        return self.grammar.at(place, *others) or (
            self.grammar.at(place, "indefinite") and not self.grammar.at(place, "coordinator")
        )

    def _adjacent(self, cue: Cue) -> list[int]:
        """Give a quality that follows at once, not at the head of a clause."""
        if self.segments.start(cue.first, Edge.CLAUSE) == cue.first:
            return []
        return [n for n in self.reach.among(cue.last, cue.last + 1) if self.targets[n][2] in QUALITIES]

    def _injuries(self, cue: Cue) -> list[int]:
        """Give the injuries named beside a word of wholeness."""
        first, last = self.segments.start(cue.first, Edge.TURN), self.segments.end(cue.last - 1, Edge.TURN)
        return [n for n in self.reach.among(first, last) if self.targets[n][2] == "complication"]

    def _taken_back(self, cue: Cue) -> list[int]:
        """Give the thing just before, where something of its kind follows in its place."""
        clause = self.segments.start(max(0, cue.first - 1), Edge.CLAUSE)
        before = [
            n
            for n in self.reach.among(clause, cue.first)
            if self.targets[n][1] >= cue.first - _TAKEN_BACK_WITHIN
        ]
        after = self.reach.among(cue.last, self.segments.end(cue.last - 1, Edge.CLAUSE))
        kinds = {self.targets[m][2] for m in after if self.targets[m][0] <= cue.last + _PUT_RIGHT_WITHIN}
        return [n for n in before[-1:] if self.targets[n][2] in kinds]

    def _announced(self, cue: Cue) -> list[int]:
        """Give what an announcement of the operation tells of: "this is a …", never "this is the …"."""
        if self.grammar.at(cue.last, "determiner"):
            return []
        among = self.reach.among(cue.last, self.segments.end(cue.last - 1, Edge.TURN))
        kinds = {self.targets[n][2] for n in among}
        return [n for n in among if self.targets[n][2] in _MADE] if "procedure" in kinds else []

    def _purpose(self, cue: Cue) -> list[int]:
        """Give what something is kept or taken for: it is not made yet."""
        place = cue.last
        if not self.grammar.at(place, "determiner"):
            return []
        kinds = ("graft", "procedure")
        return [n for n in self.reach.among(place + 1, place + 2) if self.targets[n][2] in kinds]


def _inside(cue: Cue, targets: Sequence[Target], starts: Sequence[int]) -> bool:
    """Tell whether a cue is part of a longer term."""
    n = bisect_left(starts, cue.first + 1) - 1
    if n < 0:
        return False
    first, last, _ = targets[n]
    return first <= cue.first and cue.last <= last and (cue.last - cue.first) < (last - first)


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
            for n in scopes.reach.among(first, last):
                read[n] = "general" if read[n] == "affirmed" else read[n]
    found: list[Status] = ["affirmed"] * len(targets)
    for place, status in zip(order, read, strict=True):
        found[place] = status
    return found
