"""Cut clauses into the stretches that a cue may cover."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from enum import IntEnum
from itertools import pairwise

from otochron.stages.status.cues import Cue
from otochron.stages.status.grammar import Grammar
from otochron.text.stream import Word

_LEADS_IN = frozenset({"condition", "uncertainty", "question", "fear", "would", "planned-now", "prevention"})

_LONGEST_TOPIC = 8


class Edge(IntEnum):
    """How strong the edge between two stretches is."""

    NONE = 0
    SUBORDINATE = 1
    """A statement that hangs on the one before."""
    SUBJECT = 2
    """A new subject."""
    TURN = 3
    """A word that begins a new statement: so, then, which."""
    CONTRAST = 4
    """But, because: what was supposed ends here."""
    CLAUSE = 5


class Segments:
    """The edges inside a stream of words."""

    def __init__(
        self,
        words: Sequence[Word],
        clauses: Sequence[tuple[int, int]],
        grammar: Grammar,
        cues: Sequence[Cue],
    ) -> None:
        edges: dict[int, Edge] = {}

        def put(place: int, edge: Edge) -> None:
            edges[place] = max(edge, edges.get(place, Edge.NONE))

        for place in grammar.starts["turn"]:
            put(place, Edge.TURN)
        for place in grammar.starts["contrast"]:
            put(place, Edge.CONTRAST)
        starts_of_cue = {place: cue.first for cue in cues for place in range(cue.first, cue.last)}
        led_in_by = {cue.last: cue.first for cue in cues if cue.role in _LEADS_IN}
        for subject in grammar.starts["subject"]:
            place = starts_of_cue.get(subject, subject)
            if place in led_in_by:
                put(led_in_by[place], Edge.SUBORDINATE)
            elif place > 0 and grammar.at(place - 1, "coordinator", "addition"):
                put(place - 1, Edge.SUBJECT)
            elif place > 0 and grammar.at(place - 1, "complement"):
                put(place - 1, Edge.SUBORDINATE)
            else:
                put(place, Edge.SUBJECT)
        for n, word in enumerate(words):
            if word.mark == ".":
                put(n + 1, Edge.CLAUSE)
        for first, last in clauses:
            put(first, Edge.CLAUSE)
            put(last, Edge.CLAUSE)
        put(0, Edge.CLAUSE)
        put(len(words), Edge.CLAUSE)
        self._topics(edges, grammar)
        self.places = sorted(edges)
        self.edges = edges
        self._by_strength = {edge: [p for p in self.places if edges[p] >= edge] for edge in Edge if edge}

    def _topics(self, edges: dict[int, Edge], grammar: Grammar) -> None:
        """Join a topic said first ("the tendon i cut later") to the statement that takes it up."""
        for before, place in pairwise(sorted(edges)):
            if edges[place] != Edge.SUBJECT or edges[before] < Edge.TURN or grammar.at(place, "addition"):
                continue
            has_verb = grammar.between("finite", before, place) or grammar.between("subject", before, place)
            if not has_verb and place - before <= _LONGEST_TOPIC:
                edges[place] = Edge.NONE

    def end(self, place: int, edge: Edge) -> int:
        """Give the first edge of at least this strength after ``place``."""
        places = self._by_strength[edge]
        return places[bisect_right(places, place)] if place < places[-1] else places[-1]

    def start(self, place: int, edge: Edge) -> int:
        """Give the last edge of at least this strength at or before ``place``."""
        places = self._by_strength[edge]
        return places[max(0, bisect_right(places, place) - 1)]
