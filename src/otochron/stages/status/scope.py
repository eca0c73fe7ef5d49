"""Say which cues cover which targets, and what that makes of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from otochron.lexicon import Lexicon
from otochron.model import Status
from otochron.stages.status.cues import Cue, find_cues
from otochron.stages.status.grammar import is_number, read_grammar
from otochron.stages.status.reach import QUALITIES, Reach, Target, bare, is_inside
from otochron.stages.status.segments import Edge, Segments
from otochron.stages.status.statement import Statements
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
_MADE = frozenset({"procedure", "graft", "implant", "approach"})
"""Kinds that an announcement of the operation tells of."""
_ACTS = frozenset({"action", "procedure", "graft", "implant", "complication"})
"""Kinds that hang on a condition said after them: "we open it if …"; what is seen does not."""
_ASKED = QUALITIES | {"action", "procedure"}
"""Kinds that a question mark puts in doubt; a tool asked for is asked for."""
_TO_ACT = 3
"""Words between a denial and the verb that it denies."""
_CHECKED = QUALITIES | {"drug", "implant", "graft", "packing", "closure", "specimen", "procedure", "approach"}
"""Kinds that are gone through one by one: what each is, then yes or no."""
_ASIDE = 1
"""Words that may stand between a thing and the "no" that denies it: "petite déchirure finalement non"."""
_BARE = 1
"""Words that may stand before a bare noun at the head of its statement."""
_DATED = frozenset({"time-to-come", "planned-later", "bare-duration"})
_ORDERED = frozenset({"drug", "packing", "test"})
"""Kinds that are ordered for some days or weeks."""
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
        self.targets = [bare(words, target) for target in targets]
        self.grammar = read_grammar(words, lexicon)
        cues = find_cues(words, clauses, self.grammar, lexicon)
        starts = [target[0] for target in self.targets]
        self.cues = [cue for cue in cues if not is_inside(cue, self.targets, starts)]
        self.segments = Segments(words, clauses, self.grammar, self.cues)
        self.reach = Reach(words, self.targets, self.grammar, self.segments, self.cues)
        self.statements = Statements(words, self.grammar, self.segments, self.cues)
        self._rules: dict[str, tuple[Status, Callable[[Cue], list[int]]]] = {
            "negation-thing": ("negated", self.reach.things),
            "negation-more": ("negated", self._more),
            "negation-quality": ("negated", self._qualities),
            "negation-without": ("negated", self.reach.without),
            "negation-verb": ("negated", self.reach.predicate),
            "negation-after": ("negated", self.reach.before),
            "negation-last": ("negated", self._listed),
            "answer-no": ("negated", self._denied),
            "answer-non": ("negated", self._adjacent),
            "intact": ("negated", self._injuries),
            "uncertainty": ("uncertain", self._doubted),
            "uncertainty-after": ("uncertain", self._doubted_after),
            "fear": ("hypothetical", self.reach.doubted),
            "fear-after": ("hypothetical", self.reach.before),
            "scarcely": ("uncertain", self._qualities),
            "near-miss": ("hypothetical", self._missed),
            "retraction": ("retracted", self._taken_back),
            "announcement": ("planned", self._announced),
            "purpose": ("planned", self._purpose),
            "bare-duration": ("planned", self._to_last),
        }
        self._set = set(self.cues)
        self.found: list[set[Status]] = [set() for _ in targets]
        self.dated: set[int] = set()
        """What is planned for a time that is told: no rule."""

    def read(self) -> list[Status]:
        """Decide all targets."""
        for cue in self.cues:
            for n, status in self._covered(cue):
                self.found[n].add(status)
                if cue.role in _DATED:
                    self.dated.add(n)
        for n in self._questioned():
            self.found[n].add("uncertain")
        for cue in self.cues:
            for n in self._hanging(cue):
                if not self.found[n] and self.targets[n][2] in _ACTS:  # what is planned stays so
                    self.found[n].add("hypothetical")
        return [next((s for s in _ORDER if s in found), "affirmed") for found in self.found]

    def _covered(self, cue: Cue) -> list[tuple[int, Status]]:
        """Give the targets that a cue covers, each with the status it gives."""
        covered = self.statements.cover(cue)
        if covered:
            return [(n, covered[2]) for n in self.reach.among(*covered[:2])]
        if cue.role == "unwanted":
            qualities = [(n, self.targets[n][2] in QUALITIES) for n in self.reach.things(cue)]
            return [(n, "hypothetical" if feared else "negated") for n, feared in qualities]
        if cue.role not in self._rules:
            return []
        status, rule = self._rules[cue.role]
        acts = self._denied_acts(cue) if cue.role == "negation-verb" else []
        return [(n, status) for n in [*rule(cue), *acts]]

    def _hanging(self, cue: Cue) -> range:
        """Give what hangs on a condition said after it: "we open the antrum only if …"."""
        place = cue.first
        if cue.role != "condition" or place == 0 or self.segments.is_edge(place, Edge.TURN):
            return range(0)
        if self.grammar.at(cue.last, "advice"):  # "i put it here if you look"
            return range(0)
        return self.reach.among(self.segments.start(place - 1, Edge.SUBJECT), place)

    def _questioned(self) -> list[int]:
        """Give what stands before a question mark that asks, in its last part; "…, okay?" only seeks assent."""
        tags = {cue.last for cue in self.cues if cue.role == "tag"}
        found: list[int] = []
        for n, word in enumerate(self.words):
            if not word.asked or n + 1 in tags:
                continue
            first = self.segments.start(n, Edge.CLAUSE)
            first = max((p + 1 for p in range(first, n) if self.words[p].mark), default=first)
            found += [m for m in self.reach.among(first, n + 1) if self.targets[m][2] in _ASKED]
        return found

    def _denied_acts(self, cue: Cue) -> list[int]:
        """Give the act that a denied verb names: right after the denial, or in French right before it."""
        after = [n for n in self.reach.among(cue.last, cue.last + _TO_ACT) if self.targets[n][2] == "action"]
        before = [
            n
            for n in self.reach.among(cue.first - _TO_ACT, cue.first)
            if self.targets[n][2] == "action" and self.targets[n][1] <= cue.first and self._is_french(n)
        ]
        return [*before[-1:], *after[:1]]

    def _is_french(self, n: int) -> bool:
        return self.words[self.targets[n][0]].language == "fr"

    def _missed(self, cue: Cue) -> list[int]:
        """Give the act or the harm that was only nearly done: it follows at once."""
        after = self.reach.among(cue.last, cue.last + 1)
        return [n for n in after if self.targets[n][2] in ("action", "complication")]

    def _denied(self, cue: Cue) -> list[int]:
        """Give what a bare "no" denies: nothing where it only answers, and no size, which it puts right."""
        before = self._said_before(cue)
        if before:
            return before
        things = [] if self._answers(cue) else self.reach.things(cue)
        return [n for n in things if self.targets[n][2] != "measurement"]

    def _said_before(self, cue: Cue) -> list[int]:
        """Give the bare noun that a "no" after it denies: "pus no, granulation yes", "amoxicillin no she has …"."""
        first = self.segments.start(max(0, cue.first - 1), Edge.CLAUSE)
        near = cue.first - _ASIDE
        before = [n for n in self.reach.among(first, cue.first) if self.targets[n][1] >= near]
        if not before or self.targets[before[-1]][2] not in _CHECKED:
            return []
        place = self.targets[before[-1]][0]
        if place - first > _BARE or self.grammar.among(range(first, place), "finite", "existence", "locative"):
            return []
        if any(cue.first < place and cue.last > first for cue in self.cues if cue.role.startswith(("neg", "answer"))):
            return []  # "no tear no fistula" is a list
        after = self.reach.among(cue.last, cue.last + 1)
        answered = any(self.grammar.at(self.targets[n][1], "answer") for n in after)
        return before[-1:] if answered or self._answers(cue) else []

    def _more(self, cue: Cue) -> list[int]:
        """Give what "plus de" denies: nothing before a number, where it compares."""
        return [] if self._number_follows(cue) else self.reach.things(cue)

    def _number_follows(self, cue: Cue) -> bool:
        return cue.last < len(self.words) and is_number(self.words, cue.last, self.grammar)

    def _qualities(self, cue: Cue) -> list[int]:
        """Give the qualities that a thing is free of."""
        return [n for n in self.reach.things(cue) if self.targets[n][2] in QUALITIES]

    def _doubted_after(self, cue: Cue) -> list[int]:
        """Give what a doubt said last is about; where something follows the doubt is about that."""
        end = self.segments.end(cue.last - 1, Edge.SUBJECT)
        looks_on = Cue(cue.first, cue.last, "uncertainty", "forward") in self._set
        if self.reach.among(cue.last, end) or self._number_follows(cue) or (looks_on and cue.last < end):
            return []
        return self.reach.before(cue)

    def _listed(self, cue: Cue) -> list[int]:
        """Give what a closing "none" denies: "allergies none"."""
        return self.reach.before(cue) if self.segments.is_edge(cue.last, Edge.TURN) else []

    def _doubted(self, cue: Cue) -> list[int]:
        """Give what is doubted; "maybe two millimetres" is a size told roughly, not a doubt."""
        if self._number_follows(cue):
            return []
        return [n for n in self.reach.doubted(cue) if self.targets[n][2] != "measurement"]

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
        before = self._said_before(cue)
        if before:
            return before
        return [n for n in self.reach.among(cue.last, cue.last + 1) if self.targets[n][2] in QUALITIES]

    def _injuries(self, cue: Cue) -> list[int]:
        """Give the injuries named beside a word of wholeness."""
        first, last = self.segments.start(cue.first, Edge.TURN), self.segments.end(cue.last - 1, Edge.TURN)
        return [n for n in self.reach.among(first, last) if self.targets[n][2] == "complication"]

    def _taken_back(self, cue: Cue) -> list[int]:
        """Give the thing just before, where something of its kind follows in its place."""
        clause = self.segments.start(max(0, cue.first - 1), Edge.CLAUSE)
        before = [
            n for n in self.reach.among(clause, cue.first) if self.targets[n][1] >= cue.first - _TAKEN_BACK_WITHIN
        ]
        after = self.reach.among(cue.last, self.segments.end(cue.last - 1, Edge.CLAUSE))
        kinds = {self.targets[m][2] for m in after if self.targets[m][0] <= cue.last + _PUT_RIGHT_WITHIN}
        return [n for n in before[-1:] if self.targets[n][2] in kinds]

    def _announced(self, cue: Cue) -> list[int]:
        """Give what an announcement of the operation tells of: "this is a …", never "this is the …"."""
        if self.grammar.at(cue.last, "determiner"):
            return []
        among = self.reach.among(cue.last, self.segments.end(cue.last - 1, Edge.TURN))
        told = [n for n in among if not self.grammar.at(self.targets[n][0] - 1, "determiner")]
        kinds = {self.targets[n][2] for n in told}
        return [n for n in told if self.targets[n][2] in _MADE] if "procedure" in kinds else []

    def _to_last(self, cue: Cue) -> list[int]:
        """Give what is ordered for so long, without a verb: "mèche quatre semaines"."""
        first, last = self.segments.start(cue.first, Edge.CLAUSE), self.segments.end(cue.last - 1, Edge.CLAUSE)
        if self.grammar.between("finite", first, last):
            return []
        return [n for n in self.reach.among(first, last) if self.targets[n][2] in _ORDERED]

    def _purpose(self, cue: Cue) -> list[int]:
        """Give what something is kept or taken for: it is not made yet."""
        place = cue.last
        if not self.grammar.at(place, "determiner"):
            return []
        kinds = ("graft", "procedure")
        return [n for n in self.reach.among(place + 1, place + 2) if self.targets[n][2] in kinds]
