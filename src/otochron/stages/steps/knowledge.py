"""What the word lists know of steps, as matrices: words, phrases, names and concepts against steps.

Columns are the steps in the order of the files, then one column for "none of them".
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from otochron.lexicon import Entry, Lexicon
from otochron.stages.steps.units import stem
from otochron.text.stream import split_words

Matrix = NDArray[np.float32]

RELATIONS = ("targets", "actions", "instruments", "other")
_OTHER = ("produces", "removes", "reports")
_PHRASE = 0.3
_PAIR = 0.5
_BROADER = 0.7
"""What holds of the general step holds this much of its form in one operation."""
_SHARED = 0.75
"""A step that this share of the operations has may be done in any of them."""
_PARENT = 0.6
"""What holds of a concept holds this much of its parts."""


class Knowledge:
    """The steps of a lexicon, ready for comparison with units."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.steps: list[Entry] = lexicon.of_kind("step")
        self.index = {entry.id: n for n, entry in enumerate(self.steps)}
        self.none = len(self.steps)
        self.columns = len(self.steps) + 1
        self.names = lexicon.group_finder("step")
        self._read_words()
        self._read_relations()
        self._read_operations()

    def _with_broader(self, entry: Entry) -> Iterator[tuple[Entry, float]]:
        yield entry, 1.0
        for name in entry.broader:
            if (general := self.lexicon.get(name)) is not None:
                yield general, _BROADER

    def _read_words(self) -> None:
        documents: list[Counter[str]] = []
        self.phrases: list[tuple[int, frozenset[str]]] = []
        for n, step in enumerate(self.steps):
            document: Counter[str] = Counter()
            for entry, weight in self._with_broader(step):
                for tongue in (entry.en, entry.fr):
                    told = [*tongue.forms, *tongue.phrases, *tongue.done_phrases]
                    told += [text for text in (tongue.title, tongue.past) if text]
                    for text in told:
                        stems = [stem(text[a:b]) for a, b in split_words(text)]
                        self.phrases.append((n, frozenset(stems)))
                        for one in stems:
                            document[one] += weight  # type: ignore[assignment]
            documents.append(document)
        shared = Counter(one for document in documents for one in document)
        self.words = {one: n for n, one in enumerate(sorted(shared))}
        self.idf = {one: math.log((self.none + 1) / (count + 0.5)) for one, count in shared.items()}
        self.by_word: Matrix = np.zeros((len(self.words), self.columns), np.float32)
        for n, document in enumerate(documents):
            for one, count in document.items():
                self.by_word[self.words[one], n] = (1 + math.log(count) if count >= 1 else count) * self.idf[one]
            self.by_word[:, n] /= max(1e-6, float(np.linalg.norm(self.by_word[:, n])))
        self.phrase_mass = np.array([sum(self.idf[one] for one in sorted(stems)) for _, stems in self.phrases])
        steps = [n for n, _ in self.phrases]
        self.phrase_starts = [k for k, n in enumerate(steps) if not k or n != steps[k - 1]]
        self.phrase_steps = [steps[k] for k in self.phrase_starts]
        places: dict[str, list[int]] = defaultdict(list)
        for n, (_, spoken) in enumerate(self.phrases):
            for one in sorted(spoken):
                places[one].append(n)
        self.phrases_with = {one: np.array(where) for one, where in places.items()}

    def _read_relations(self) -> None:
        spoken = [c for c, entry in self.lexicon.entries.items() if entry.kind not in ("step", "cue", "phase", "rule")]
        self.concepts = {concept: n for n, concept in enumerate(sorted(spoken))}
        self.by_concept: dict[str, Matrix] = {}
        for name in RELATIONS:
            worth: dict[str, dict[int, float]] = defaultdict(dict)
            for n, step in enumerate(self.steps):
                for entry, weight in self._with_broader(step):
                    related = [c for part in (_OTHER if name == "other" else (name,)) for c in getattr(entry, part)]
                    for concept in related:
                        worth[concept][n] = max(weight, worth[concept].get(n, 0.0))
            matrix: Matrix = np.zeros((len(self.concepts), self.columns), np.float32)
            for concept, steps in worth.items():
                if concept in self.concepts:
                    rare = math.log(1 + self.none / len(steps)) / math.log(1 + self.none)
                    for n, weight in steps.items():
                        matrix[self.concepts[concept], n] = weight * rare
            inherited = matrix.copy()
            for concept, row in self.concepts.items():
                entry = self.lexicon[concept]
                for parent in (*entry.broader, *entry.part_of):
                    if parent in self.concepts and name != "other":
                        np.maximum(inherited[row], _PARENT * matrix[self.concepts[parent]], out=inherited[row])
            self.by_concept[name] = inherited

    def told_words(self) -> dict[str, dict[int, float]]:
        """Count in how many phrases of each step each stem stands; a phrase is worth half a spoken unit."""
        found: dict[str, dict[int, float]] = defaultdict(dict)
        for step, stems in self.phrases:
            for one in stems:
                found[one][step] = found[one].get(step, 0.0) + _PHRASE
        return found

    def told_concepts(self) -> dict[str, dict[int, float]]:
        """Give the concepts of each step as if they had been spoken once."""
        found: dict[str, dict[int, float]] = defaultdict(dict)
        for name in ("targets", "actions", "instruments"):
            for n, step in enumerate(self.steps):
                for entry, weight in self._with_broader(step):
                    for concept in getattr(entry, name):
                        found[concept][n] = max(weight, found[concept].get(n, 0.0))
        for n, step in enumerate(self.steps):
            for act in step.actions:
                for thing in (*step.targets, *step.instruments):
                    found[f"{act}+{thing}"][n] = _PAIR
        return found

    def _read_operations(self) -> None:
        """Place of each step in the usual order of each operation; -1 where it has none."""
        self.order: dict[str, NDArray[np.int64]] = {}
        for entry in self.lexicon.of_kind("procedure"):
            if entry.order:
                place = {name: n for n, name in enumerate(entry.order)}
                self.order[entry.id] = np.array([place.get(step.id, -1) for step in self.steps] + [-1])
        many = sum(((order >= 0).astype(int) for order in self.order.values()), np.zeros(self.columns, int))
        self.shared: NDArray[np.bool_] = many >= _SHARED * len(self.order)
        """The steps that most operations have."""


@lru_cache(maxsize=2)
def knowledge(lexicon: Lexicon) -> Knowledge:
    """Make the matrices once per lexicon."""
    return Knowledge(lexicon)
