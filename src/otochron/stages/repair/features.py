"""What speaks for and against a candidate, as named numbers."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from otochron.stages.repair.context import Context
from otochron.stages.repair.expected import expected
from otochron.stages.repair.near import Near
from otochron.stages.repair.place import Features, Place
from otochron.text.ngrams import Ngrams
from otochron.text.phone_distance import distances
from otochron.text.sounds import phones

_FAR: Final = 0.6
_SAME: Final = 0.03
_CLOSE: Final = 0.1
_VERY_SHORT: Final = 4
_RARE: Final = 3.0
"""Zipf frequency of a word below which it is rare."""


@dataclass(frozen=True)
class Candidate:
    """A near target with what speaks for it."""

    near: Near
    features: Features
    energy: float
    """How well the sound fits, longer terms more: ``min(16, phones) · (1 - distance / 0.35)``."""


def energy(candidate: Near) -> float:
    """Weigh nearness by length."""
    return min(16, len(candidate.target.phones)) * (1 - candidate.distance / 0.35)


def features(found: Sequence[Near], context: Context, ngrams: Ngrams) -> list[Features]:
    """Give the features of all candidates."""
    residual = _residuals(found, context)
    alike = _alike(found, context)
    places: dict[tuple[int, int], Place] = {}
    for one in found:
        if (one.first, one.last) not in places:
            places[one.first, one.last] = Place(one.first, one.last, context, ngrams)
    numbers = [_features(one, places[one.first, one.last], *residual[n]) for n, one in enumerate(found)]
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


def _features(one: Near, place: Place, rest: float, rest_phones: int) -> Features:
    context, target = place.context, one.target
    size = len(target.phones)
    fit = rest_phones * (1 - rest / 0.35) / 10
    concepts = target.concepts
    others = tuple([n for n, name in enumerate(place.names) if name not in target.tokens])
    words = place.words(others)
    unknown = words["unknown words"]
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
        "term of the place's language": float(target.language == place.around),
        "loses a term": float(sum([not its.issubset(target.tokens) for its in place.heard_words])),
        "fit of unknown words": fit * unknown,
        "fit of rare words": fit * (words["rarest word"] < _RARE / 4) * (1 - unknown),
        "holds the concept": float(not place.heard_concepts.isdisjoint(concepts)),
        "local language": float(target.language == place.local),
        "related concept near": float(place.related(concepts)),
        "said elsewhere": float(any(c in context.spoken for c in concepts)),
        "shares a word": float(not place.said.isdisjoint(target.tokens)),
        "foreign reading": float(one.foreign),
        **place.chances(concepts),
    }
    return found | words | place.numbers


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
