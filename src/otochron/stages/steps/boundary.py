"""How likely another step begins with a unit, whatever the steps are: words around the place, cues, what is new.

Logistic regression, fitted on the training narrations (``lexicons/weights/steps.json``, ``boundary``).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from otochron.stages.steps.units import Telling, Unit
from otochron.text.segments import score

Evidence = dict[str, float]

_NEAR = 3
_BEFORE = 8
_WORDS = 4


def boundary_scores(telling: Telling, weights: Mapping[str, float]) -> list[float]:
    """Give the log-odds that another step begins with each unit; none for the first."""
    return [0.0, *(score(boundary_evidence(telling, n), weights) for n in range(1, len(telling.units)))]


def boundary_evidence(telling: Telling, n: int) -> Evidence:
    """Give the evidence at the beginning of unit ``n``."""
    units = telling.units
    before, unit = units[n - 1], units[n]
    found: Evidence = {"any": 1.0}
    found |= _words(telling, before, unit)
    for name in unit.cues:
        found[f"cue {name}"] = 1.0
    for name in unit.opens:
        found[f"opens {name}"] = 1.0
    for name in before.cues:
        found[f"cue before {name}"] = 1.0
    found[f"register {before.register} {unit.register}"] = 1.0
    gap = max(-3.0, min(8.0, unit.gap))
    found["gap"] = gap / 4
    found[f"gap {math.floor(gap / 1.5)}"] = 1.0
    silence = max(0, unit.start_ms - before.spoken_ms)
    found[f"silence {min(5, int(math.log2(1 + silence / 500)))}"] = 1.0
    found |= _concepts(units, n)
    found["length"] = len(unit.names) / 8
    found["length before"] = len(before.names) / 8
    if n + 1 < len(units):
        for name in units[n + 1].opens:
            found[f"next opens {name}"] = 1.0
        found[f"next register {units[n + 1].register}"] = 1.0
    return found


def _words(telling: Telling, before: Unit, unit: Unit) -> Evidence:
    stream = telling.stream
    first = [word.key for word in stream[unit.first : min(unit.last, unit.first + _WORDS)]]
    last = [word.key for word in stream[max(before.first, before.last - _WORDS) : before.last]][::-1]
    found: Evidence = {f"word {n} {name}": 1.0 for n, name in enumerate(first[:3])}
    if len(first) > 1:
        found[f"words {first[0]} {first[1]}"] = 1.0
    found |= {f"word -{n + 1} {name}": 1.0 for n, name in enumerate(last[:2])}
    found |= {f"in {name}": 1.0 for name in unit.names}
    found |= {f"before {name}": 0.5 for name in before.names}
    if stream[unit.first].language != stream[unit.first - 1].language:
        found["other language"] = 1.0
    return found


def _concepts(units: Sequence[Unit], n: int) -> Evidence:
    """Tell what is spoken of: kinds, whether it is new, and how much before and after have in common."""
    before, unit = units[n - 1], units[n]
    found: Evidence = {}
    for mention in unit.mentions:
        found[f"kind {mention.kind}"] = 1.0
        found[f"kind {mention.kind} {mention.status}"] = 1.0
    for mention in before.mentions:
        found[f"kind before {mention.kind}"] = 1.0
    found[f"first kind {unit.mentions[0].kind}" if unit.mentions else "no concept"] = 1.0
    old, new = _spoken(units[max(0, n - _NEAR) : n]), _spoken(units[n : n + _NEAR])
    if old and new:
        found["common concepts"] = len(old & new) / math.sqrt(len(old) * len(new))
    said = {name for one in units[max(0, n - _NEAR) : n] for name in one.names}
    says = {name for one in units[n : n + _NEAR] for name in one.names}
    found["common words"] = len(said & says) / math.sqrt(max(1, len(said) * len(says)))
    own, known = _spoken([unit]), _spoken(units[max(0, n - _BEFORE) : n])
    found["new concepts"] = float(min(3, len(own - known)))
    found["old concepts"] = float(min(3, len(own & known)))
    return found


def _spoken(units: Sequence[Unit]) -> set[str]:
    return {mention.concept for unit in units for mention in unit.mentions if mention.concept}
