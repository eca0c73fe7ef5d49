"""What holds of a stretch of words, whatever it may have been: worked out once for all its candidates."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from otochron.model import Lang
from otochron.stages.repair.context import NEAR_WORDS, Context
from otochron.stages.repair.windows import protected
from otochron.text.frequencies import frequencies
from otochron.text.ngrams import COMPANY, Ngrams

_AROUND: Final = 6
"""Words on each side that show the language of a place."""
Features = dict[str, float]


@lru_cache(maxsize=65536)
def zipf(word: str) -> float:
    """Give the Zipf frequency of a word in the language where it is commoner; 0 if unknown."""
    share = max(frequencies("en").get(word, 0.0), frequencies("fr").get(word, 0.0))
    return max(0.0, math.log10(share) + 9) if share else 0.0


@lru_cache(maxsize=65536)
def zipf_in(word: str, lang: Lang) -> float:
    """Give the Zipf frequency of a word in one language; 0 if unknown there."""
    share = frequencies(lang).get(word, 0.0)
    return max(0.0, math.log10(share) + 9) if share else 0.0


class Place:
    """The words ``first`` to ``last`` (half-open), with what speaks for and against a repair there."""

    def __init__(self, first: int, last: int, context: Context, ngrams: Ngrams) -> None:
        self.context, self.ngrams = context, ngrams
        self.first, self.last = first, last
        said = context.stream[first:last]
        function = protected(context.lexicon, "function")
        self._keys = [word.key for word in said]
        self._content = [key not in function for key in self._keys]
        self.names = context.said[first:last]
        self.said = frozenset(self.names)
        self.around = context.language((first - _AROUND, first), (last, last + _AROUND))
        self.local = context.language((first, last))
        heard = {hit.first: hit for hit in context.inside[first:last] if hit}.values()
        self.heard_words = [frozenset(context.said[hit.first : hit.last]) for hit in heard]
        self.heard_concepts = frozenset([concept for hit in heard for concept in hit.concepts])
        self._words: dict[tuple[int, ...], Features] = {}
        self._near: frozenset[str] | None = None
        half = COMPANY // 2
        self._tokens = context.place[first], context.place[last - 1] + 1
        start, end = self._tokens
        self._beside = [*context.names[max(2, start - half) : start], *context.names[end : end + half]]
        chances = context.log_chances(ngrams, self.local, start, min(end + 2, len(context.tokens)))
        kinds = [(hit.concepts[0], context.lexicon[hit.concepts[0]].kind) for hit in heard]
        as_heard = sum(chances) + sum(
            math.log((0.3 + ngrams.concepts.get(concept, 0)) / (100 + ngrams.seen(f"<{kind}>")))
            for concept, kind in kinds
        )
        self.numbers: Features = {
            "heard here": max(-60.0, as_heard) / 10,
            "heard here, a word": max(-60.0, as_heard) / 3 / len(chances),
            "odd neighbour": float(_odd(context, first - 1)) + float(_odd(context, last)),
            "all heard are terms": float(all(context.inside[first:last])),
            "words": float(len(said)),
            "density": context.density / 10,
            "ends in a function word": float(not self._content[-1]),
            "starts with a function word": float(not self._content[0]),
        }
        """What does not depend on the term."""
        if (p := min([w.p for w in said if w.p is not None], default=None)) is not None:
            self.numbers["recogniser's doubt"] = -math.log10(max(0.01, p)) - 0.3

    def words(self, others: tuple[int, ...]) -> Features:
        """Tell how rare the words are that the term does not say; ``others``: which words of the stretch."""
        if others not in self._words:
            unshared = [self._keys[n] for n in others]
            content = [self._keys[n] for n in others if self._content[n]] or unshared or self._keys
            rarity = [zipf(key) for key in content]
            usual = min([math.log10(0.3 + self.ngrams.seen(key)) for key in unshared] or [2.0])
            here = min([zipf_in(key, self.around) for key in content])
            rarest = min(rarity)
            self._words[others] = {
                "usual words": float(usual >= 1),
                "everyday words": max(0.0, rarest - 4.0),
                "rarest word here": here / 4,
                "of the other language": float(here < rarest - 1.5),
                "rarest word": rarest / 4,
                "surprise": sum([min(8.0, 9 - z) for z in rarity]) / 10,
                "unknown words": rarity.count(0) / len(rarity),
                "usual in narration": usual,
            }
        return self._words[others]

    def related(self, concepts: Sequence[str]) -> bool:
        """Tell whether a related concept is spoken within 30 words, outside the stretch."""
        if self._near is None:
            firsts, first, last = self.context.firsts, self.first, self.last
            low, high = bisect_left(firsts, first - NEAR_WORDS), bisect_right(firsts, last + NEAR_WORDS)
            hits = self.context.hits[low:high]
            self._near = frozenset([c for h in hits if h.last <= first or h.first >= last for c in h.concepts])
        return any(not self.context.lexicon.relatives(concept).isdisjoint(self._near) for concept in concepts)

    def chances(self, concepts: tuple[str, ...]) -> Features:
        """Give how likely a term is here."""
        kind = self.context.lexicon[concepts[0]].kind
        told = sum([self.ngrams.concepts.get(c, 0) for c in concepts])
        return {
            "term here": self.context.log_chance_of_kind(self.ngrams, self.local, *self._tokens, kind) / 10,
            "company": self.ngrams.company(concepts, self._beside) / 2,
            "told of": math.log10(0.3 + told),
        }


def _odd(context: Context, n: int) -> bool:
    """Tell whether a word beside a window is unknown: the term may be longer than the window."""
    if not 0 <= n < len(context.stream) or context.inside[n]:
        return False
    word = context.stream[n].key
    return zipf(word) < 1.5 and word[-1] not in "'" and not word[0].isdigit()
