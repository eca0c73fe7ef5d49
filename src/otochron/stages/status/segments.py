"""Cut clauses into the stretches that a cue may cover."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from enum import IntEnum
from itertools import pairwise

from otochron.stages.status.cues import Cue
from otochron.stages.status.grammar import Grammar, is_number
from otochron.text.stream import Word

_LEADS_IN = frozenset({"condition", "uncertainty", "question", "fear", "prevention", "else"})
_INVERTS = frozenset({"inversion", "inversion-condition"})
_LONGEST_TOPIC = 8
_SUBJECT_TO_VERB = 7
"""Words from the article of a subject to its verb: "the long process of the incus is"."""


class Edge(IntEnum):
    """How strong the edge between two stretches is."""

    NONE = 0
    SUBORDINATE = 1
    """A statement that hangs on the one before."""
    SUBJECT = 2
    """A new subject."""
    CAUSE = 3
    """Because: what was said as a rule goes on, what was denied does not."""
    TURN = 4
    """A word that begins a new statement: so, then, which."""
    CONTRAST = 5
    """But: what was supposed ends here."""
    CLAUSE = 6


class Segments:
    """The edges inside a stream of words."""

    def __init__(
        self,
        words: Sequence[Word],
        clauses: Sequence[tuple[int, int]],
        grammar: Grammar,
        cues: Sequence[Cue],
    ) -> None:
        self.edges: dict[int, Edge] = {0: Edge.CLAUSE, len(words): Edge.CLAUSE}
        self.grammar = grammar
        self.words = words
        self._led_in_by = {cue.last: cue.first for cue in cues if cue.role in _LEADS_IN}
        self._inverted = {cue.last: cue.first for cue in cues if cue.role in _INVERTS}
        starts_of_cue = {place: cue.first for cue in cues for place in range(cue.first, cue.last)}
        before = {place for cue in cues if cue.role == "would" for place in range(cue.first, cue.last)}
        for place in grammar.starts["focus"]:
            if place not in before:  # "just in case" belongs to what stands before it
                self._put(place, Edge.SUBJECT)
        for role, edge in (
            ("cause", Edge.CAUSE),
            ("turn", Edge.TURN),
            ("contrast", Edge.CONTRAST),
        ):
            for place in grammar.starts[role]:
                self._put(place, edge)
        for n, word in enumerate(words):
            if word.mark == ".":
                self._put(n + 1, Edge.CLAUSE)
        for first, last in clauses:
            self._put(first, Edge.CLAUSE)
            self._put(last, Edge.CLAUSE)
        told = {cue.first for cue in cues if cue.role == "past-case" and self._ends_verb(cue.first)}
        for subject in grammar.starts["subject"]:
            if starts_of_cue.get(subject) in told:
                continue  # "c'était | il y a dix ans" is one statement
            self._put_subject(starts_of_cue.get(subject, subject))
        for place in grammar.starts["determiner"]:
            if self._has_verb(place):
                self._put_subject(place)
        self._join_topics()
        self.places = sorted(self.edges)
        self._by_strength = {edge: [p for p in self.places if self.edges[p] >= edge] for edge in Edge if edge}

    def _put(self, place: int, edge: Edge) -> None:
        self.edges[place] = max(edge, self.edges.get(place, Edge.NONE))

    def _put_subject(self, place: int) -> None:
        """Put the edge before a subject, at the word that leads it in."""
        grammar = self.grammar
        if self.is_edge(self._inverted.get(place, place), Edge.TURN):
            return  # "did we cut": the verb before its subject opens the statement
        if place in self._led_in_by:
            self._put(self._led_in_by[place], Edge.SUBORDINATE)
        elif place > 0 and grammar.at(place - 1, "coordinator", "addition"):
            self._put(place - 1, Edge.SUBJECT)
        elif place > 0 and grammar.at(place - 1, "complement"):
            self._put(place - 1, Edge.SUBORDINATE)
        else:
            self._put(place, Edge.SUBJECT)

    def _has_verb(self, place: int) -> bool:
        """Tell whether an article opens a subject with its verb: "| the footplate is thin"."""
        grammar = self.grammar
        if place > 0 and grammar.at(place - 1, "locative", "belonging", "relation", "determiner"):
            return False
        numbers = sum(is_number(self.words, p, grammar) for p in range(place + 1, self._reach(place)))
        for p in range(place + 2, self._reach(place + numbers)):
            if self.edges.get(p, Edge.NONE) >= Edge.SUBJECT or grammar.at(p, "subject"):
                return False
            if grammar.at(p, "finite"):
                return True
            if grammar.at(p, "complement") and not grammar.at(p, "addition", "coordinator"):
                return False
            if grammar.at(p, "determiner") and not grammar.at(p - 1, "belonging", "locative"):
                return False
        return False

    def _ends_verb(self, place: int) -> bool:
        return place > 0 and self.grammar.at(place - 1, "past-tense", "participle", "past-form")

    def _reach(self, place: int) -> int:
        return min(place + _SUBJECT_TO_VERB + 1, len(self.words))

    def _join_topics(self) -> None:
        """Join a topic said first ("the tendon i cut later") to the statement that takes it up."""
        grammar = self.grammar
        for before, place in pairwise(sorted(self.edges)):
            if self.edges[place] != Edge.SUBJECT or self.edges[before] < Edge.TURN:
                continue
            head = next((p for p in range(before, place) if not grammar.at(p, "turn", "contrast", "locative")), place)
            if (
                place - before > _LONGEST_TOPIC
                or not grammar.at(head, "determiner", "article")
                or grammar.at(place, "addition")
            ):
                continue
            if not grammar.between("finite", before, place) and not grammar.between("subject", before, place):
                self.edges[place] = Edge.NONE

    def end(self, place: int, edge: Edge) -> int:
        """Give the first edge of at least this strength after ``place``."""
        places = self._by_strength[edge]
        return places[min(bisect_right(places, place), len(places) - 1)]

    def start(self, place: int, edge: Edge) -> int:
        """Give the last edge of at least this strength at or before ``place``."""
        places = self._by_strength[edge]
        return places[max(0, bisect_right(places, place) - 1)]

    def is_edge(self, place: int, edge: Edge) -> bool:
        """Tell whether an edge of at least this strength stands before a word."""
        return self.edges.get(place, Edge.NONE) >= edge
