"""What the training narrations add: how often each stem and concept was spoken during each step.

The counts are data (``lexicons/weights/steps.json``), made by ``tests/fit/fit_steps.py``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np

from otochron.stages.steps.knowledge import Knowledge, Matrix
from otochron.stages.steps.reader import Reader
from otochron.stages.steps.units import Unit

_NORM = 3.0
_WORD_SHRINK = 3.0
_CONCEPT_SHRINK = 2.0
_UNHEARD = 5.0
"""Weight of a word that the lists hold and no narration."""
NONE = "none"


class Counts:
    """How many units of each step hold each word and concept; how many segments begin, and which follow which."""

    def __init__(self) -> None:
        self.words: dict[str, Counter[str]] = {}
        self.concepts: dict[str, Counter[str]] = {}
        self.starts: Counter[str] = Counter()
        self.pairs: dict[str, Counter[str]] = {}
        self.units = 0.0
        self.recordings = 0.0

    def add(self, units: Sequence[Unit], labels: Sequence[str], weight: float = 1.0, *, ordered: bool = True) -> None:
        """Count one recording; a negative weight takes it out again. Not ``ordered``: statements, no operation."""
        before = "^"
        if ordered:
            self.recordings += weight
        for unit, label in zip(units, labels, strict=True):
            self.units += weight
            for name in set(unit.names):
                self.words.setdefault(name, Counter())[label] += weight  # type: ignore[assignment]
            for fact, _ in unit.facts:
                self.concepts.setdefault(fact, Counter())[label] += weight  # type: ignore[assignment]
            if ordered and label != before:
                self.starts[label] += weight  # type: ignore[assignment]
                self.pairs.setdefault(before, Counter())[label] += weight  # type: ignore[assignment]
                before = label

    def dump(self) -> dict[str, Any]:
        """Give the counts as JSON values; a step is its place in ``steps`` where that is shorter."""

        def rows(table: Mapping[str, Counter[str]]) -> dict[str, str]:
            return {
                name: " ".join(f"{step}:{count:g}" for step, count in sorted(row.items()) if count > 0)
                for name, row in sorted(table.items())
                if any(count > 0 for count in row.values())
            }

        return {
            "units": self.units,
            "recordings": self.recordings,
            "words": rows(self.words),
            "concepts": rows(self.concepts),
            "pairs": rows(self.pairs),
            "starts": rows({"all": self.starts})["all"],
        }

    @classmethod
    def load(cls, data: Mapping[str, Any]) -> Counts:
        """Read what :meth:`dump` gave."""

        def row(text: str) -> Counter[str]:
            return Counter({step: float(count) for step, _, count in (part.rpartition(":") for part in text.split())})

        found = cls()
        found.units, found.recordings = data["units"], data["recordings"]
        found.words = {name: row(text) for name, text in data["words"].items()}
        found.concepts = {name: row(text) for name, text in data["concepts"].items()}
        found.pairs = {name: row(text) for name, text in data["pairs"].items()}
        found.starts = row(data["starts"])
        return found


class Learned:
    """The counts as matrices over the steps of one lexicon."""

    def __init__(self, counts: Counts, known: Knowledge, reader: Reader) -> None:
        self.counts = counts
        self.reader = reader
        self.known = known
        self.column = {entry.alias or entry.id: n for n, entry in enumerate(known.steps)} | {NONE: known.none}
        self.words, self.idf, by_word = self._table(counts.words, known.told_words())
        self.word_purity: Matrix = by_word / (by_word.sum(1, keepdims=True) + _WORD_SHRINK) * self.idf[:, None]
        self.by_word = _unit_columns(np.log1p(by_word) * self.idf[:, None])
        self.concepts, self.concept_idf, by_concept = self._table(counts.concepts, known.told_concepts())
        self.concept_purity: Matrix = by_concept / (by_concept.sum(1, keepdims=True) + _CONCEPT_SHRINK)
        self.by_concept = _unit_columns(np.log1p(by_concept) * self.concept_idf[:, None])
        self.prior: Matrix = np.full(known.columns, 0.5, np.float32)
        for label, count in counts.starts.items():
            if label in self.column:
                self.prior[self.column[label]] += count
        self.rare: Matrix = (1 / self.prior.clip(1)).astype(np.float32)
        self.prior = np.log(self.prior / max(1.0, counts.recordings)).astype(np.float32)

    def _table(
        self, rows: Mapping[str, Counter[str]], told: Mapping[str, Mapping[int, float]]
    ) -> tuple[dict[str, int], Matrix, Matrix]:
        """Give the counts with those of the word lists, so that a step that no narration holds is known too."""
        names = {name: n for n, name in enumerate(sorted({*rows, *told}))}
        matrix: Matrix = np.zeros((len(names), self.known.columns), np.float32)
        for name, n in names.items():
            for label, count in rows.get(name, {}).items():
                if label in self.column and count > 0:
                    matrix[n, self.column[label]] = count
        heard = matrix.sum(1)
        idf = np.log((self.counts.units + 1) / (heard + 1)).astype(np.float32)
        idf[heard == 0] = _UNHEARD
        for name, worth in told.items():
            for column, more in worth.items():
                matrix[names[name], column] += more
        return names, idf, matrix

    @cached_property
    def pairs(self) -> Matrix:
        """How often a step follows a step; the last row is the beginning of the recording."""
        columns = self.known.columns
        table: Matrix = np.zeros((columns + 1, columns), np.float32)
        for before, row in self.counts.pairs.items():
            place = columns if before == "^" else self.column.get(before)
            for label, count in row.items():
                if place is not None and label in self.column and count > 0:
                    table[place, self.column[label]] += count
        return table


def _unit_columns(matrix: Matrix) -> Matrix:
    found: Matrix = (matrix / (np.linalg.norm(matrix, axis=0) + _NORM)).astype(np.float32)
    return found
