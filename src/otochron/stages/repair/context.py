"""What a recording says, as far as it was heard right: its terms, its classes of words, what goes with what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from typing import Final

from otochron.lexicon import Hit, Lexicon
from otochron.lexicon.forms import token
from otochron.model import Lang
from otochron.text.ngrams import Ngrams
from otochron.text.number_words import is_number
from otochron.text.stream import Word

NEAR_WORDS: Final = 30
START: Final = "<start>"


def class_tokens(
    stream: Sequence[Word], hits: Sequence[Hit], lexicon: Lexicon
) -> tuple[list[str], list[str], list[int]]:
    """Give the words with terms as ``<kind>``, the same with terms as ``@concept``, and the token of each word.

    Numbers are ``<number>`` in both. Two start tokens stand before the first word.
    """
    tokens = [START, START]
    names = [START, START]
    place: list[int] = []
    ends = {hit.first: hit for hit in hits}
    n = 0
    while n < len(stream):
        hit = ends.get(n)
        last = hit.last if hit else n + 1
        place += [len(tokens)] * (last - n)
        if hit:
            tokens.append(f"<{lexicon[hit.concepts[0]].kind}>")
            names.append(f"@{hit.concepts[0]}")
        else:
            tokens.append("<number>" if is_number(stream[n]) else stream[n].key)
            names.append(tokens[-1])
        n = last
    return tokens, names, place


@dataclass
class Context:
    """Terms heard right in a recording."""

    stream: Sequence[Word]
    hits: list[Hit]
    lexicon: Lexicon
    tokens: list[str] = field(init=False)
    names: list[str] = field(init=False)
    place: list[int] = field(init=False)

    def __post_init__(self) -> None:
        """Index the hits by place and by concept."""
        self.tokens, self.names, self.place = class_tokens(self.stream, self.hits, self.lexicon)
        self.said = [token(word.text) for word in self.stream]
        self.french = [0, *accumulate(word.language == "fr" for word in self.stream)]
        self._kind_chances: dict[tuple[Lang, int, int, str], float] = {}
        self._log_chances: dict[Lang, list[float | None]] = {}
        self.firsts = [hit.first for hit in self.hits]
        self.spoken = Counter(concept for hit in self.hits for concept in hit.concepts)
        self.density = min(10.0, 100 * len(self.hits) / max(1, len(self.stream)))
        self.inside: list[Hit | None] = [None] * len(self.stream)
        for hit in self.hits:
            for n in range(hit.first, hit.last):
                self.inside[n] = hit

    def language(self, *stretches: tuple[int, int]) -> Lang:
        """Give the language of most words of some stretches (half-open)."""
        french = total = 0
        for first, last in stretches:
            low, high = max(0, first), max(0, min(last, len(self.stream)))
            french += self.french[high] - self.french[low]
            total += high - low
        return "fr" if 2 * french > total else "en"

    def log_chances(self, ngrams: Ngrams, lang: Lang, first: int, last: int) -> list[float]:
        """Give the natural log of the chance of some tokens as heard, each after the two before it."""
        kept = self._log_chances.setdefault(lang, [None] * len(self.tokens))
        found = []
        for n in range(first, last):
            value = kept[n]
            if value is None:
                value = kept[n] = ngrams.log_chance(self.tokens[n - 2 : n + 1], lang, 2, 3)
            found.append(value)
        return found

    def log_chance_of_kind(self, ngrams: Ngrams, lang: Lang, first: int, last: int, kind: str) -> float:
        """Give the same of a term of a kind in the place of some tokens, and of the next two tokens after it."""
        place = (lang, first, last, kind)
        if place not in self._kind_chances:
            meant = [*self.tokens[first - 2 : first], f"<{kind}>", *self.tokens[last : last + 2]]
            self._kind_chances[place] = ngrams.log_chance(meant, lang, 2, len(meant))
        return self._kind_chances[place]
