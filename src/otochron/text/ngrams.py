"""How likely a word is after two others, in surgical narration: a class n-gram model of both languages.

Terms of the trade stand for their kind (``<structure>``), numbers for ``<number>``; the other words are
themselves. Chances are interpolated with absolute discounting (Ney, Essen & Kneser 1994), and end in general
frequencies, so that any word has one. The counts are data: ``lexicons/weights/ngrams.txt.xz``.
"""

from __future__ import annotations

import lzma
import math
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from otochron.model import Lang
from otochron.text.frequencies import frequencies

if TYPE_CHECKING:
    from numpy.typing import NDArray

DISCOUNT: Final = 0.75
COMPANY: Final = 8
"""How many words beside a concept are looked at, half of them before it."""
COMMON: Final = 0.08
"""Words likelier than this beside anything tell nothing."""
DRAWN: Final = 4.0
_OFTEN: Final = 2
"""What is told so often, and never together, has the least log-ratio: DRAWN / (_OFTEN + DRAWN) < exp(-0.3)."""
WIDE: Final = 50
"""How many words around a concept make its neighbourhood, half of them before it."""
_LIKE: Final = 3
"""Power of the likeness of recordings: the most alike count most."""
_SUCH: Final = 8.0
"""How many recordings the most alike ones count for, beside one that is like any."""
_FLOOR: Final = 1e-8
_CLASS_FLOOR: Final = 1e-5
_UNSEEN: Final = (0, 0.0)
_OTHER: Final[dict[Lang, Lang]] = {"en": "fr", "fr": "en"}
_OTHER_SHARE: Final = 0.1


@lru_cache(maxsize=65536)
def general(word: str, lang: Lang) -> float:
    """Give the share of a word in general language, with some room for the other language.

    >>> general("the", "en") > general("the", "fr") > general("stapes", "en")
    True
    """
    if word.startswith("<"):
        return _CLASS_FLOOR
    own, other = frequencies(lang).get(word, 0.0), frequencies(_OTHER[lang]).get(word, 0.0)
    return max(_FLOOR, (1 - _OTHER_SHARE) * own + _OTHER_SHARE * other)


_NOTHING: Final[Mapping[str, int]] = {}
_PARTS: Final = 7


class Ngrams:
    """Counts of a training text.

    Parameters
    ----------
    *parts : mapping
        In this order, the last ones may be left out: one, two and three words in a row, terms as their kinds
        (``counts``); ``concepts``; what is said beside a concept (``pairs``); concepts with the form that is said
        (``forms``); a concept with the word or concept right before or after it (``rows``); two concepts within
        ``WIDE`` words, in the order of the alphabet (``wide``); numbers of recordings with their concepts (``told``).
    """

    def __init__(self, *parts: Mapping[str, int]) -> None:
        self.parts = (*parts, *[_NOTHING] * (_PARTS - len(parts)))
        self.counts, self.concepts, self.pairs, self.forms, self.rows, self.wide, self.told = self.parts
        self.recordings: dict[str, set[str]] = defaultdict(set)
        for one in self.told:
            number, _, concept = one.partition(" ")
            self.recordings[number].add(concept)
        self._told_in = Counter(concept for said in self.recordings.values() for concept in said)
        self._total: dict[str, int] = defaultdict(int)
        self._kinds: dict[str, int] = defaultdict(int)
        for gram, count in self.counts.items():
            before = gram.rpartition(" ")[0]
            self._total[before] += count
            self._kinds[before] += 1
        self._rows: dict[tuple[str, ...], NDArray[Any]] = {}
        self._before = {before: (total, DISCOUNT * self._kinds[before]) for before, total in self._total.items()}

    def seen(self, word: str) -> int:
        """Tell how often the narrations say a word."""
        return self.counts.get(word, 0)

    def log_chance(self, words: Sequence[str], lang: Lang, first: int, last: int) -> float:
        """Give the natural log of the chance of ``words[first:last]``, each after the two before it."""
        return sum(math.log(self._chance(words, n, lang)) for n in range(first, last))

    def _chance(self, words: Sequence[str], n: int, lang: Lang) -> float:
        word = words[n]
        found = general(word, lang)
        before = words[n - 1] if n > 0 else ""
        for context in ("", before, f"{words[n - 2]} {before}" if n > 1 else ""):
            total, spared = self._before.get(context, _UNSEEN)
            if not total:
                break
            count = self.counts.get(f"{context} {word}" if context else word, 0)
            found = ((count - DISCOUNT if count else 0.0) + spared * found) / total
        return found

    def company(self, concepts: Sequence[str], beside: Sequence[str]) -> float:
        """Tell how well a concept goes with the words and concepts beside it: sum of log-ratios, -2 to 6.

        Each is log P(beside | concept) - log P(beside), drawn to 0 where the concept is rare.
        """
        told = sum([self.concepts.get(c, 0) for c in concepts])
        total = self._total[""]
        found = 0.0
        for name in beside:
            usual = self.concepts.get(name[1:], 0) if name[0] == "@" else self.counts.get(name, 0)
            share = COMPANY * usual / total
            if not 0 < share < COMMON:
                continue
            together = sum([self.pairs.get(f"{c} {name}", 0) for c in concepts])
            if not together and told >= _OFTEN:
                found += -0.3
                continue
            found += max(-0.3, math.log((together + DRAWN * share) / ((told + DRAWN) * share)))
        return max(-2.0, min(6.0, found))

    def neighbourhood(self, concepts: Sequence[str], around: Sequence[int]) -> float:
        """Tell how well a concept goes with the concepts around it, as ``company`` does with words; -2 to 6.

        Parameters
        ----------
        concepts : sequence of str
            What a term may stand for; these themselves tell nothing.
        around : sequence of int
            Numbers of the concepts around it (``numbered``).
        """
        found = float(self._beside(tuple(concepts))[around].sum()) if len(around) else 0.0
        return max(-2.0, min(6.0, found))

    def numbered(self, concepts: Iterable[str]) -> list[int]:
        """Give the numbers of concepts; one that the training text does not speak of has none."""
        return [self._numbers[c] for c in concepts if c in self._numbers]

    @cached_property
    def _numbers(self) -> dict[str, int]:
        return {concept: n for n, concept in enumerate(self.concepts)}

    @cached_property
    def _shares(self) -> NDArray[Any]:
        import numpy as np

        return np.minimum(1.0, WIDE * np.array(list(self.concepts.values())) / self._total[""])

    @cached_property
    def _together(self) -> dict[str, list[tuple[int, int]]]:
        """For each concept the numbers of those told in its neighbourhood, and how often."""
        found: dict[str, list[tuple[int, int]]] = defaultdict(list)
        numbers = self._numbers
        for pair, count in self.wide.items():
            one, _, two = pair.partition(" ")
            if one in numbers and two in numbers:
                found[one].append((numbers[two], count))
                if one != two:
                    found[two].append((numbers[one], count))
        return found

    def _beside(self, concepts: tuple[str, ...]) -> NDArray[Any]:
        """Give the log-ratio of a concept with each other one."""
        row = self._rows.get(concepts)
        if row is None:
            row = self._rows[concepts] = self._row(concepts)
        return row

    def _row(self, concepts: tuple[str, ...]) -> NDArray[Any]:
        import numpy as np

        told, share = sum([self.concepts.get(c, 0) for c in concepts]), self._shares
        together = np.zeros(len(share))
        for concept in concepts:
            for n, count in self._together.get(concept, ()):
                together[n] += count
        row = np.clip(np.log((together + DRAWN * share) / ((told + DRAWN) * share)), -0.3, 2.5)
        if told >= _OFTEN:
            row[together == 0] = -0.3
        row[self.numbered(concepts)] = 0.0
        return row.astype(np.float32)

    def alike(self, spoken: Collection[str]) -> dict[str, float]:
        """Give the recordings with their likeness to one that speaks of some concepts; together 1."""
        many = len(self.recordings)
        shared = {number: self.recordings[number].intersection(spoken) for number in sorted(self.recordings)}
        weights = {
            number: sum(math.log(many / self._told_in[c]) for c in sorted(both))
            / math.sqrt(5 + len(self.recordings[number]))
            for number, both in shared.items()
        }
        most = max(weights.values(), default=0.0)
        if not most:
            return dict.fromkeys(weights, 1 / max(1, many))
        weights = {number: (weight / most) ** _LIKE for number, weight in weights.items()}
        whole = sum(weights.values())
        return {number: weight / whole for number, weight in weights.items()}

    def told_in(self, concepts: Sequence[str], alike: Mapping[str, float]) -> tuple[float, float]:
        """Give the log-chance that recordings like this one speak of a concept, and the same of any recording."""
        speaking = [n for n, said in self.recordings.items() if not said.isdisjoint(concepts)]
        anywhere = (len(speaking) + 0.5) / (len(self.recordings) + 1)
        here = (_SUCH * sum(alike[n] for n in speaking) + anywhere) / (_SUCH + 1)
        return math.log(here), math.log(anywhere)


def read_ngrams(path: Path) -> Ngrams:
    """Read the counts: a line is a count and its words; empty lines part the kinds of counts."""
    return parse_ngrams(lzma.decompress(path.read_bytes()).decode())


def parse_ngrams(text: str) -> Ngrams:
    """Read the counts from their text."""
    return Ngrams(*(_counts(part) for part in text.split("\n\n")))


def _counts(text: str) -> dict[str, int]:
    pairs = (line.partition(" ") for line in text.splitlines())
    return {words: int(count) for count, _, words in pairs}


def dump_ngrams(model: Ngrams) -> str:
    """Write the counts as text, sorted."""
    parts = [sorted(part.items()) for part in model.parts]
    return "\n\n".join("\n".join(f"{count} {words}" for words, count in part) for part in parts) + "\n"
