"""What a recording says, as far as it was heard right: its terms, its classes of words, what goes with what."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from otochron.lexicon import Hit, Lexicon
from otochron.text.number_words import atom
from otochron.text.stream import Word

NEAR_WORDS: Final = 30
START: Final = "<start>"


def is_number(word: Word) -> bool:
    """Tell whether a word is a number, more than an article or a part of one."""
    if word.key[0].isdigit():
        return True
    found = atom(word)
    if found is None:
        return False
    values = (found.teen, found.ten, found.scale, found.digit)
    return found.hundred or (any(v is not None for v in values) and not found.article and not found.decimal)


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
        self.firsts = [hit.first for hit in self.hits]
        self.spoken = Counter(concept for hit in self.hits for concept in hit.concepts)
        self.density = min(10.0, 100 * len(self.hits) / max(1, len(self.stream)))
        self.inside: list[Hit | None] = [None] * len(self.stream)
        for hit in self.hits:
            for n in range(hit.first, hit.last):
                self.inside[n] = hit

    def near(self, first: int, last: int) -> list[Hit]:
        """Give the hits within 30 words of a window, outside it."""
        low, high = bisect_left(self.firsts, first - NEAR_WORDS), bisect_right(self.firsts, last + NEAR_WORDS)
        return [hit for hit in self.hits[low:high] if hit.last <= first or hit.first >= last]
