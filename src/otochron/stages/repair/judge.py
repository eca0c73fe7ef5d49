"""Decide: log-odds of each candidate, the best of those that overlap, applied, suggested or kept."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, Literal

from otochron.lexicon import Lexicon
from otochron.lexicon.forms import token
from otochron.stages.repair.context import Context
from otochron.stages.repair.features import Candidate
from otochron.stages.repair.place import Features

if TYPE_CHECKING:
    from numpy.typing import NDArray

Decision = Literal["applied", "suggested", "kept"]
TIMES: Final = " x "
_AT_ONCE: Final = 4096
"""Candidates that are judged together; all those of four hours would take 90 MB."""
TOLD: Final = 0.1
"""Terms of the log-odds smaller than this are told as one."""
_PAIR_LEAD: Final = 3.0


@dataclass(frozen=True)
class Verdict:
    """What is to be done about the words ``first`` to ``last``."""

    candidate: Candidate
    score: float
    decision: Decision
    reasons: tuple[tuple[str, float], ...]
    alternatives: tuple[str, ...]


def terms(features: Features, weights: Mapping[str, Any]) -> list[tuple[str, float]]:
    """Give each term of the log-odds."""
    found = ((name, weight * product(name, features)) for name, weight in weights["weights"].items())
    return [("before anything is known", weights["bias"]), *(term for term in found if term[1])]


def product(name: str, features: Features) -> float:
    """Give a feature, or the product of two (``"a x b"``)."""
    one, two = _factors(name)
    return features.get(one, 0.0) * (features.get(two, 0.0) if two else 1.0)


@lru_cache(maxsize=1024)
def _factors(name: str) -> tuple[str, str]:
    one, _, two = name.partition(TIMES)
    return one, two


def told(found: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """Give the terms worth telling, and the sum of the small ones as one."""
    big = [(name, round(value, 3)) for name, value in found if abs(value) >= TOLD]
    small = sum(value for _, value in found if abs(value) < TOLD)
    return (*big, ("small things together", round(small, 3)))


def probability(features: Features, weights: Mapping[str, Any]) -> float:
    """Give the chance that a candidate is right."""
    z = sum(value for _, value in terms(features, weights))
    return 1 / (1 + math.exp(-max(-50.0, min(50.0, z))))


def probabilities(candidates: Sequence[Candidate], weights: Mapping[str, Any]) -> list[float]:
    """Give the chance of each candidate; the same numbers as :func:`probability`, many at once."""
    parts = (candidates[first : first + _AT_ONCE] for first in range(0, len(candidates), _AT_ONCE))
    return [chance for part in parts for chance in _probabilities(part, weights)]


def _probabilities(candidates: Sequence[Candidate], weights: Mapping[str, Any]) -> list[float]:
    import numpy as np

    # Term after term, so that the sum is the same on every machine.
    sums = np.cumsum(_terms(candidates, weights), axis=1)[:, -1]
    return [1 / (1 + math.exp(-z)) for z in np.clip(sums, -50.0, 50.0).tolist()]


def _terms(candidates: Sequence[Candidate], weights: Mapping[str, Any]) -> NDArray[Any]:
    """Give the bias and each term of the log-odds of some candidates; the same numbers as :func:`terms`."""
    import numpy as np

    factors = [_factors(name) for name in weights["weights"]]
    names = {name: n for n, name in enumerate(dict.fromkeys(name for pair in factors for name in pair if name))}
    given = np.ones((len(candidates), len(names) + 1))  # the last column stands for no second factor
    nothing = [0.0] * len(names)
    given[:, :-1] = [list(map(c.features.get, names, nothing)) for c in candidates] or given[:, :-1]
    one, two = [names[a] for a, _ in factors], [names[b] if b else len(names) for _, b in factors]
    parts = np.empty((len(candidates), len(factors) + 1))
    parts[:, 0] = weights["bias"]
    parts[:, 1:] = np.array(list(weights["weights"].values())) * (given[:, one] * given[:, two])
    return parts


def reasons_of(candidates: Sequence[Candidate], weights: Mapping[str, Any]) -> list[tuple[tuple[str, float], ...]]:
    """Give what is told of the log-odds of each candidate; many at once."""
    names = ["before anything is known", *weights["weights"]]
    return [
        told([term for n, term in enumerate(zip(names, row, strict=True)) if term[1] or not n])
        for first in range(0, len(candidates), _AT_ONCE)
        for row in _terms(candidates[first : first + _AT_ONCE], weights).tolist()
    ]


def judge(candidates: Sequence[Candidate], context: Context, weights: Mapping[str, Any]) -> list[Verdict]:
    """Choose among the candidates and decide each."""
    chances = probabilities(candidates, weights)
    order = sorted(range(len(candidates)), key=lambda n: (-chances[n], candidates[n].near.first, n))
    likely = [n for n in order if chances[n] >= weights["kept"]]
    reasons = dict(zip(likely, reasons_of([candidates[n] for n in likely], weights), strict=True))
    taken: set[int] = set()
    at: dict[int, list[int]] = {}
    for n, one in enumerate(candidates):
        for word in range(one.near.first, one.near.last):
            at.setdefault(word, []).append(n)
    found: list[Verdict] = []
    for n in likely:
        rivals = sorted({m for word in range(candidates[n].near.first, candidates[n].near.last) for m in at[word]})
        chosen = longest_same(n, rivals, candidates, context)
        places = set(range(candidates[chosen].near.first, candidates[chosen].near.last))
        if taken & places:
            continue
        taken |= places
        one = candidates[chosen]
        others = [candidates[m] for m in rivals if m != chosen]
        decision = _decide(one, chances[n], others, context.lexicon, weights)
        near_by = sorted(
            {m for m in rivals if m not in (n, chosen) and chances[m] > weights["kept"] / 2},
            key=lambda m: (-chances[m], m),
        )
        alternatives = tuple(dict.fromkeys(candidates[m].near.target.text for m in near_by))[:3]
        found.append(Verdict(one, round(chances[n], 3), decision, reasons[n], alternatives))
    if not is_ear_recording(context, weights, found):
        found = [replace(v, decision="suggested") if v.decision == "applied" else v for v in found]
    return sorted(found, key=lambda v: v.candidate.near.first)


def _decide(
    one: Candidate, chance: float, rivals: Sequence[Candidate], lexicon: Lexicon, weights: Mapping[str, Any]
) -> Decision:
    if chance < weights["suggested"]:
        return "kept"
    unknown = one.features["unknown words"] == 1
    if chance < weights["applied_to_unknown_words" if unknown else "applied"]:
        return "suggested"
    if _may_be_a_trade_name(one, lexicon, weights):
        return "suggested"
    mates = pair_mates(one.near.target.concepts, lexicon)
    for rival in rivals:
        close = one.energy - rival.energy < _PAIR_LEAD
        if close and mates & set(rival.near.target.concepts) and chance < weights["pair"]:
            return "suggested"
    return "applied"


def _may_be_a_trade_name(one: Candidate, lexicon: Lexicon, weights: Mapping[str, Any]) -> bool:
    """Tell whether a rare real word stands where things with trade names are spoken of: it is kept as heard."""
    names = weights["trade_names"]
    kind = lexicon[one.near.target.concepts[0]].kind
    rare = 0 < 4 * one.features["rarest word"] < float(names["rarer_than_zipf"])
    far = max(one.near.distance, one.features["distance of the rest"]) > float(names["farther_than"])
    return rare and far and kind in tuple(names["kinds"])


def pair_mates(concepts: Sequence[str], lexicon: Lexicon) -> set[str]:
    """Give the concepts that must not be confused with these."""
    groups = [set(e.of) for e in lexicon.of_kind("protected") if e.role == "pair"]
    return {mate for group in groups if group & set(concepts) for mate in group - set(concepts)}


def longest_same(n: int, rivals: Sequence[int], candidates: Sequence[Candidate], context: Context) -> int:
    """Give the longest candidate that makes the same change and only says more words as they were heard."""
    one = candidates[n].near
    said = list(one.target.tokens)
    best = n
    for m in rivals:
        two = candidates[m].near
        if two.first > one.first or two.last < one.last or two.target.language != one.target.language:
            continue
        before = [token(w.text) for w in context.stream[two.first : one.first]]
        after = [token(w.text) for w in context.stream[one.last : two.last]]
        whole = list(two.target.tokens)
        if len(whole) > len(candidates[best].near.target.tokens) and whole == [*before, *said, *after]:
            best = m
    return best


def is_ear_recording(context: Context, weights: Mapping[str, Any], verdicts: Sequence[Verdict] = ()) -> bool:
    """Tell whether enough is said that only an ear recording says; else nothing is applied.

    Where most terms are misheard, what was nearly surely meant counts as said, but then more is asked for.
    """
    gate = weights["gate"]
    generic = set(gate["generic"])
    found = [hit.concepts[0] for hit in context.hits if not set(hit.concepts) & generic]
    words = max(1, len(context.stream))
    wanted = min(int(gate["concepts"]), 1 + words // int(gate["words_per_concept"]))
    enough = words * float(gate["per_100_words"]) / 100
    if len(set(found)) >= wanted and len(found) >= enough:
        return True
    applied = [v.candidate.near.target.concepts for v in verdicts if v.decision == "applied"]
    found += [concepts[0] for concepts in applied if not set(concepts) & generic]
    return len(set(found)) >= max(wanted, int(gate["with_misheard"])) and len(found) >= enough
