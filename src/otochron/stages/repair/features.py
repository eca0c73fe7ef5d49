"""What speaks for and against a candidate, as named numbers."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from otochron.lexicon import Hit
from otochron.model import Lang
from otochron.stages.repair.context import Context
from otochron.stages.repair.expected import expected
from otochron.stages.repair.near import Near
from otochron.stages.repair.windows import protected
from otochron.text.frequencies import frequencies
from otochron.text.ngrams import COMPANY, Ngrams
from otochron.text.phone_distance import distances
from otochron.text.sounds import phones

_FAR: Final = 0.6
_SAME: Final = 0.03
_CLOSE: Final = 0.1
_VERY_SHORT: Final = 4
_AROUND: Final = 6
"""Words on each side that show the language of a place."""
Features = dict[str, float]


@dataclass(frozen=True)
class Candidate:
    """A near target with what speaks for it."""

    near: Near
    features: Features
    energy: float
    """How well the sound fits, longer terms more: ``min(16, phones) · (1 - distance / 0.35)``."""


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


def energy(candidate: Near) -> float:
    """Weigh nearness by length."""
    return min(16, len(candidate.target.phones)) * (1 - candidate.distance / 0.35)


def features(found: Sequence[Near], context: Context, ngrams: Ngrams) -> list[Features]:
    """Give the features of all candidates."""
    residual = _residuals(found, context)
    alike = _alike(found, context)
    numbers = [_features(one, context, ngrams, *residual[n]) for n, one in enumerate(found)]
    such = expected(found, context, ngrams)
    return [one | more | most for one, more, most in zip(numbers, alike, such, strict=True)]


def _alike(found: Sequence[Near], context: Context) -> list[Features]:
    """Tell how often the same words ask for the same concept elsewhere, and how many concepts sound nearer here."""
    said = [" ".join(w.key for w in context.stream[one.first : one.last]) for one in found]
    pairs = Counter(zip(said, (one.target.concepts for one in found), strict=True))
    nearer: dict[tuple[int, int], list[tuple[float, tuple[str, ...]]]] = defaultdict(list)
    for one in found:
        nearer[one.first, one.last].append((one.distance, one.target.concepts))
    return [
        {
            "heard so again": math.log2(min(8, pairs[text, one.target.concepts])) / 2,
            "nearer concepts": float(sum(d < one.distance for d, _ in nearer[one.first, one.last])) / 2,
        }
        for one, text in zip(found, said, strict=True)
    ]


def _residuals(found: Sequence[Near], context: Context) -> list[tuple[float, int]]:
    """Give distance and phones of the words that heard and meant do not share."""
    left, right = [], []
    for one in found:
        if one.letters:
            left.append("")
            right.append("")
            continue
        names = context.said[one.first : one.last]
        said = zip(context.stream[one.first : one.last], names, strict=True)
        left.append("".join([phones(w.key, w.language) for w, name in said if name not in one.target.tokens]))
        right.append("".join([phones(t, one.target.language) for t in one.target.tokens if t not in names]))
    costs = distances(left, right).tolist()
    return [
        (0.0, min(14, len(one.target.phones))) if one.letters else (min(_FAR, cost), min(14, len(b)))
        for one, cost, b in zip(found, costs, right, strict=True)
    ]


def _features(one: Near, context: Context, ngrams: Ngrams, rest: float, rest_phones: int) -> Features:
    said = context.stream[one.first : one.last]
    function = protected(context.lexicon, "function")
    names = context.said[one.first : one.last]
    unshared = [w for w, name in zip(said, names, strict=True) if name not in one.target.tokens]
    content = [w for w in unshared if w.key not in function] or unshared or list(said)
    rarity = [zipf(w.key) for w in content]
    usual = [math.log10(0.3 + ngrams.seen(w.key)) for w in unshared] or [2.0]
    around = context.language((one.first - _AROUND, one.first), (one.last, one.last + _AROUND))
    here = min([zipf_in(w.key, around) for w in content])
    size = len(one.target.phones)
    unknown = rarity.count(0) / len(rarity)
    fit = rest_phones * (1 - rest / 0.35) / 10
    local = context.language((one.first, one.last))
    ends, starts = said[-1].key in function, said[0].key in function
    concepts = one.target.concepts
    heard = {hit.first: hit for hit in context.inside[one.first : one.last] if hit}.values()
    found = {
        "distance": one.distance,
        "coarse distance": one.plain,
        "distance of the rest": rest,
        "phones of the rest": rest_phones / 10,
        "cost of the sounds": rest * rest_phones / 4,
        "fit": fit,
        "same letters": float(one.letters),
        "same sounds": float(one.distance <= _SAME),
        "near sounds": float(one.distance <= _CLOSE),
        "phones": min(16, size) / 10,
        "short term": max(0, 9 - size) / 5,
        "very short term": float(size <= _VERY_SHORT),
        "usual words": float(min(usual) >= 1),
        "everyday words": max(0.0, min(rarity) - 4.0),
        "rarest word here": here / 4,
        "of the other language": float(here < min(rarity) - 1.5),
        "term of the place's language": float(one.target.language == around),
        "odd neighbour": float(_odd(context, one.first - 1)) + float(_odd(context, one.last)),
        "loses a term": float(_lost(context, one, heard)),
        "fit of unknown words": fit * unknown,
        "fit of rare words": fit * (min(rarity) < 3) * (1 - unknown),
        "holds the concept": float(any(set(hit.concepts) & set(concepts) for hit in heard)),
        "all heard are terms": float(all(context.inside[one.first : one.last])),
        "words": float(len(said)),
        "rarest word": min(rarity) / 4,
        "surprise": sum([min(8.0, 9 - z) for z in rarity]) / 10,
        "unknown words": unknown,
        "usual in narration": min(usual),
        "local language": float(one.target.language == local),
        "density": context.density / 10,
        "related concept near": float(context.related_near(one.first, one.last, concepts)),
        "said elsewhere": float(any(c in context.spoken for c in concepts)),
        "ends in a function word": float(ends),
        "starts with a function word": float(starts),
        "shares a word": float(any(t in names for t in one.target.tokens)),
        "foreign reading": float(one.foreign),
    }
    found |= chances(one, context, ngrams, local, heard)
    if (p := min([w.p for w in said if w.p is not None], default=None)) is not None:
        found["recogniser's doubt"] = -math.log10(max(0.01, p)) - 0.3
    return found


def _lost(context: Context, one: Near, heard: Collection[Hit]) -> int:
    """Count the terms heard in a window that the target does not say."""
    return sum(not set(one.target.tokens).issuperset(context.said[hit.first : hit.last]) for hit in heard)


def _odd(context: Context, n: int) -> bool:
    """Tell whether a word beside a window is unknown: the term may be longer than the window."""
    if not 0 <= n < len(context.stream) or context.inside[n]:
        return False
    word = context.stream[n].key
    return zipf(word) < 1.5 and word[-1] not in "'" and not word[0].isdigit()


def chances(one: Near, context: Context, ngrams: Ngrams, lang: Lang, terms: Collection[Hit]) -> Features:
    """Give how likely the words as heard are here, with the ``terms`` in them, and how likely the term is."""
    tokens, place = context.tokens, context.place
    first, last = place[one.first], place[one.last - 1] + 1
    heard = context.log_chances(ngrams, lang, first, min(last + 2, len(tokens)))
    kind = context.lexicon[one.target.concepts[0]].kind
    as_heard = sum(heard) + sum(
        math.log(
            (0.3 + ngrams.concepts.get(hit.concepts[0], 0))
            / (100 + ngrams.seen(f"<{context.lexicon[hit.concepts[0]].kind}>"))
        )
        for hit in terms
    )
    as_meant = context.log_chance_of_kind(ngrams, lang, first, last, kind)
    half = COMPANY // 2
    beside = [*context.names[max(2, first - half) : first], *context.names[last : last + half]]
    of_kind = sum(ngrams.concepts.get(c, 0) for c in one.target.concepts)
    return {
        "heard here": max(-60.0, as_heard) / 10,
        "heard here, a word": max(-60.0, as_heard) / 3 / len(heard),
        "term here": as_meant / 10,
        "company": ngrams.company(one.target.concepts, beside) / 2,
        "told of": math.log10(0.3 + of_kind),
    }


def rival_margin(candidates: Sequence[Near]) -> list[float]:
    """Give each candidate's lead in energy over the best overlapping candidate of another concept, -6..8."""
    order = sorted(range(len(candidates)), key=lambda n: candidates[n].first)
    firsts = [candidates[n].first for n in order]
    energies = [energy(c) for c in candidates]
    found = [8.0] * len(candidates)
    for n, one in enumerate(candidates):
        low, high = bisect_left(firsts, one.first - 6), bisect_left(firsts, one.last)
        for other in order[low:high]:
            two = candidates[other]
            if two.last > one.first and not set(two.target.concepts) & set(one.target.concepts):
                found[n] = min(found[n], max(-6.0, energies[n] - energies[other]))
    return found
