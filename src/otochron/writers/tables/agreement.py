"""Agreement of coders: Cohen's kappa (1960) for two, Krippendorff's nominal alpha for any number, with holes.

Both come from the library ``nltk``. The interval is a percentile bootstrap over recordings (Efron 1979); each of its
rounds uses the same two formulas on all rounds at once, because the library would take minutes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from otochron.errors import RecordError
from otochron.writers.tables.coding import Codes

_ROUNDS = 2000
_INTERVAL = 0.95

Unit = Mapping[str, str]
"""The codes that coders gave one recording."""
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Agreement:
    """Agreement of two or more coders on one variable; None where it is not defined."""

    variable: str
    coders: str
    recordings: int
    same: float
    kappa: float | None
    kappa_interval: tuple[float, float] | None
    alpha: float | None
    alpha_interval: tuple[float, float] | None


def agreement(coders: Mapping[str, Codes], variable: str, seed: int = 0) -> Agreement:
    """Measure the agreement of coders on one variable, over the recordings that at least two of them coded."""
    names = list(coders)
    units = sorted({r for codes in coders.values() for r, v in codes if v == variable})
    every = [{n: coders[n][u, variable] for n in names if (u, variable) in coders[n]} for u in units]
    table = [unit for unit in every if len(unit) > 1]
    same = sum(len(set(unit.values())) == 1 for unit in table) / len(table) if table else 0.0
    kappa = kappa_interval = alpha = alpha_interval = None
    # Where every code is the same, neither is defined.
    if len({code for unit in table for code in unit.values()}) > 1:
        kappa, alpha = _library(table, two=len(names) == 2)
        kappa_rounds, alpha_rounds = _rounds(table, names, seed)
        kappa_interval = _interval(kappa_rounds) if kappa is not None else None
        alpha_interval = _interval(alpha_rounds)
    coders_text = " / ".join(names)
    return Agreement(variable, coders_text, len(table), same, kappa, kappa_interval, alpha, alpha_interval)


def _library(table: Sequence[Unit], *, two: bool) -> tuple[float | None, float]:
    try:
        from nltk.metrics.agreement import AnnotationTask
    except ImportError:
        raise RecordError(
            "agreement", "the library nltk is not here", "nltk 3.8 or newer", "pip install 'otochron[agreement]'"
        ) from None
    task = AnnotationTask([(coder, str(n), code) for n, unit in enumerate(table) for coder, code in unit.items()])
    return (float(task.kappa()) if two else None), float(task.alpha())


def _rounds(table: Sequence[Unit], names: Sequence[str], seed: int) -> tuple[Floats, Floats]:
    """Give kappa (of the first two coders) and alpha of every round; not a number where it is not defined."""
    codes = sorted({code for unit in table for code in unit.values()})
    kinds = Counter(tuple(unit.get(name) for name in names) for unit in table)
    weights = np.array(list(kinds.values())) / len(table)
    drawn = np.random.default_rng(seed).multinomial(len(table), weights, size=_ROUNDS).astype(float)
    given = np.array([[[code == c for c in codes] for code in kind] for kind in kinds], dtype=float)
    with np.errstate(invalid="ignore", divide="ignore"):
        return kappas(drawn, given), alphas(drawn, given)


def kappas(drawn: Floats, given: Floats) -> Floats:
    """Give Cohen's kappa of the first two coders: ``drawn[round, kind]``, ``given[kind, coder, code]``."""
    total = drawn.sum(axis=1)
    observed = drawn @ (given[:, 0] * given[:, 1]).sum(axis=1) / total
    expected = ((drawn @ given[:, 0]) * (drawn @ given[:, 1])).sum(axis=1) / total**2
    return np.asarray((observed - expected) / (1 - expected))


def alphas(drawn: Floats, given: Floats) -> Floats:
    """Give Krippendorff's nominal alpha from the coincidences: ``drawn[round, kind]``, ``given[kind, coder, code]``."""
    counts = given.sum(axis=1)
    pairs = counts * (counts - 1) / (counts.sum(axis=1, keepdims=True) - 1)
    values, matching = drawn @ counts, drawn @ pairs
    total = values.sum(axis=1)
    differing = total - matching.sum(axis=1)
    by_chance = (values * (total[:, None] - values)).sum(axis=1)
    return np.asarray(1 - (total - 1) * differing / by_chance)


def _interval(rounds: Floats) -> tuple[float, float] | None:
    found = rounds[np.isfinite(rounds)]
    if not len(found):
        return None
    low, high = np.quantile(found, [(1 - _INTERVAL) / 2, (1 + _INTERVAL) / 2])
    return float(low), float(high)
