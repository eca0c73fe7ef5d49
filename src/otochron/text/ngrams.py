"""How likely a word is after two others, in surgical narration: a class n-gram model of both languages.

Terms of the trade stand for their kind (``<structure>``), numbers for ``<number>``; the other words are
themselves. Chances are interpolated with absolute discounting (Ney, Essen & Kneser 1994), and end in general
frequencies, so that any word has one. The counts are data: ``lexicons/weights/ngrams.txt.xz``.
"""

from __future__ import annotations

import lzma
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Final

from otochron.model import Lang
from otochron.text.frequencies import frequencies

DISCOUNT: Final = 0.75
COMPANY: Final = 8
"""How many words beside a concept are looked at, half of them before it."""
COMMON: Final = 0.08
"""Words likelier than this beside anything tell nothing."""
DRAWN: Final = 4.0
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


class Ngrams:
    """Counts of one, two and three words in a row, of concepts, and of what is said beside a concept."""

    def __init__(self, counts: Mapping[str, int], concepts: Mapping[str, int], pairs: Mapping[str, int]) -> None:
        self.counts = counts
        self.concepts = concepts
        self.pairs = pairs
        self._total: dict[str, int] = defaultdict(int)
        self._kinds: dict[str, int] = defaultdict(int)
        for gram, count in counts.items():
            before = gram.rpartition(" ")[0]
            self._total[before] += count
            self._kinds[before] += 1
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
        told = sum(self.concepts.get(c, 0) for c in concepts)
        total = self._total[""]
        found = 0.0
        for name in beside:
            usual = self.concepts.get(name[1:], 0) if name.startswith("@") else self.counts.get(name, 0)
            share = COMPANY * usual / total
            if not 0 < share < COMMON:
                continue
            together = sum(self.pairs.get(f"{c} {name}", 0) for c in concepts)
            found += max(-0.3, math.log((together + DRAWN * share) / ((told + DRAWN) * share)))
        return max(-2.0, min(6.0, found))


def read_ngrams(path: Path) -> Ngrams:
    """Read the counts: a line is a count and its words; empty lines part n-grams, concepts and pairs."""
    return parse_ngrams(lzma.decompress(path.read_bytes()).decode())


def parse_ngrams(text: str) -> Ngrams:
    """Read the counts from their text."""
    return Ngrams(*(_counts(part) for part in text.split("\n\n")))


def _counts(text: str) -> dict[str, int]:
    pairs = (line.partition(" ") for line in text.splitlines())
    return {words: int(count) for count, _, words in pairs}


def dump_ngrams(model: Ngrams) -> str:
    """Write the counts as text, sorted."""
    parts = [sorted(part.items()) for part in (model.counts, model.concepts, model.pairs)]
    return "\n\n".join("\n".join(f"{count} {words}" for words, count in part) for part in parts) + "\n"
