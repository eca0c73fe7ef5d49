"""The words of measuring, found once per recording. Words: ``lexicons/cues/measuring.toml``, ``units.toml``."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from otochron.lexicon import Hit, Lexicon
from otochron.lexicon.find import Finder
from otochron.text.stream import Word


@dataclass(frozen=True, slots=True)
class Cue:
    """One cue: words ``first`` to ``last`` (half-open); ``value`` is its unit or dimension, if it has one."""

    first: int
    last: int
    value: str = ""
    quantity: str = ""


class Cues:
    """Where the cues of each role stand in a stream."""

    def __init__(self, words: Sequence[Word], lexicon: Lexicon) -> None:
        self._words = words
        self._lexicon = lexicon
        self._found: dict[str, list[Cue]] = {}
        self._starts: dict[str, list[int]] = {}

    def all(self, role: str) -> list[Cue]:
        """Give the cues of a role, in order."""
        if role not in self._found:
            hits = self._lexicon.cue_finder(role).find(self._words)
            self._found[role] = [self._cue(hit) for hit in hits]
            self._starts[role] = [cue.first for cue in self._found[role]]
        return self._found[role]

    def _cue(self, hit: Hit) -> Cue:
        entry = self._lexicon[hit.concepts[0]]
        return Cue(hit.first, hit.last, entry.unit or entry.dimension or "", entry.quantity or "")

    def inside(self, role: str, first: int, last: int) -> list[Cue]:
        """Give the cues of a role that lie wholly within words ``first`` to ``last``."""
        found = self.all(role)
        n = bisect_left(self._starts[role], first)
        inside: list[Cue] = []
        while n < len(found) and found[n].first < last:
            if found[n].last <= last:
                inside.append(found[n])
            n += 1
        return inside

    def at(self, role: str, place: int) -> Cue | None:
        """Give the cue that starts at a word."""
        found = self.all(role)
        n = bisect_left(self._starts[role], place)
        return found[n] if n < len(found) and found[n].first == place else None

    def ending(self, role: str, place: int, reach: int = 6) -> Cue | None:
        """Give the cue that ends right before a word."""
        found = self.inside(role, max(0, place - reach), place)
        return found[-1] if found and found[-1].last == place else None


def phrase_finder(lexicon: Lexicon) -> Finder:
    """Find what is typically said where a dimension is measured: the ``phrases`` of the dimension rows."""
    rows = lexicon.of_kind("dimension")
    return Finder(
        row.model_copy(
            update={
                "kind": "cue",
                "en": row.en.model_copy(update={"forms": row.en.phrases}),
                "fr": row.fr.model_copy(update={"forms": row.fr.phrases}),
            }
        )
        for row in rows
        if row.en.phrases or row.fr.phrases
    )
