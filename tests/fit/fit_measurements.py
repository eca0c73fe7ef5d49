"""Fit the weights that choose what an amount measures, and the part it plays.

Run ``python tests/fit/fit_measurements.py`` from the root of the project; it writes
``lexicons/weights/measurements.json``. Learned from are the narrations with an even number, told once clean and
twice misheard by process: the amounts of ``tests/stages/measurements_gold.jsonl`` (whole statements) and of
``tests/stages/measurements_heads.jsonl`` (single amounts, annotated from the text before the model was made).
Those with an odd number are never read here; ``tests/stages/measured.py`` scores them.

The model of things is a conditional logit: each amount chooses one of its candidates (McFadden 1974); where several
are right, their probabilities are summed. What was measured before is an input, so the fit runs a few times, each
time with what the last weights chose. The model of roles is a multinomial logit.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from measured_data import Choice, Part, collect, records_of
from narrated import ROOT
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from otochron.lexicon import load
from otochron.lexicon.weights import load_weights
from otochron.stages.measurements.parts import choose_role

WEIGHTS = ROOT / "lexicons" / "weights" / "measurements.json"
SEEDS = (1,)
ROUNDS = 2
RIDGE, RIDGE_ROLES = 7.0, 5.0
SEEN = 3
PRIOR_RULE = 3.0
FOLDS = 10

FIRST = {
    **{
        f"place {source}": 1.0
        for source in (
            "own",
            "hint",
            "phrase",
            "thing",
            "again",
            "again, other unit",
            "lead",
            "second side",
            "named size",
            "named thing",
            "same stretch",
        )
    },
    **dict.fromkeys(("prior", "dimension", "needs", "form", "manner"), 1.0),
    "typical": 0.8,
    "possible": 0.25,
    "unknown": 0.3,
    "outside": -0.9,
    "added row": 0.4,
    "added to": -0.5,
    "second": -0.7,
    "from hint": -0.25,
    "from phrase": 0.1,
    "unspoken": -0.7,
    "group thing": -0.6,
    "thing has rows": -0.5,
    "nothing": -1.2,
    "nothing, time": 1.2,
    "no size": -0.5,
    "no size, whole": 1.45,
    "no size, alone": -0.6,
    "same at once": 0.7,
    "same again": 0.4,
    "again without a band": -0.5,
    "from again, other unit": -0.3,
    "from lead": 0.1,
    "from unit": -0.6,
    "other name": -0.5,
    "against both ends": -0.8,
    "sum": 0.5,
    "second side, no row": 1.2,
}
"""What was set by hand before the fit: the mean of the prior. Only the differences are paid for."""
SCALE = 3.0
"""Log odds for one point of what was set by hand."""

ROLES = ("None", "measured", "added", "target", "intermediate", "final")


def fit_things(choices: Sequence[Choice], ridge: float) -> dict[str, float]:
    """Fit the conditional logit."""
    known = [c for c in choices if any(c.right)]
    seen = Counter(name for c in known for name in {n for parts in c.offered for n, v in parts.items() if v})
    names = sorted({name for name, many in seen.items() if many >= SEEN} | set(FIRST))
    mean = np.array([SCALE * FIRST.get(name, 0.0) for name in names])
    index = {name: n for n, name in enumerate(names)}
    rows, columns, values, starts, right = [], [], [], [], []
    count = 0
    for choice in known:
        starts.append(count)
        for parts, good in zip(choice.offered, choice.right, strict=True):
            for name, value in parts.items():
                if value and name in index:
                    rows.append(count)
                    columns.append(index[name])
                    values.append(value)
            right.append(good)
            count += 1
    table = csr_matrix((values, (rows, columns)), shape=(count, len(names)))
    good = np.array(right)
    owner = np.repeat(np.arange(len(starts)), np.diff([*starts, count]))

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        away = weights - mean
        scores = table @ weights
        scores = scores - np.maximum.reduceat(scores, starts)[owner]
        power = np.exp(scores)
        whole = np.add.reduceat(power, starts)
        part = np.add.reduceat(power * good, starts)
        slope = power / whole[owner] - power * good / part[owner]
        total = float(np.sum(np.log(whole) - np.log(part))) + ridge / 2 * float(away @ away)
        return total, table.T @ slope + ridge * away

    best = minimize(loss, mean, jac=True, method="L-BFGS-B", options={"maxiter": 400})
    return {name: round(float(w), 4) for name, w in zip(names, best.x, strict=True) if abs(w) > 5e-4}


def fit_roles(roles: Sequence[Part], ridge: float) -> dict[str, dict[str, float]]:
    """Fit the multinomial logit; the prior mean is what the rules say."""
    names = sorted(
        {n for n, many in Counter(n for r in roles for n, v in r.parts.items() if v).items() if many >= SEEN}
    )
    index = {name: n for n, name in enumerate(names)}
    table = np.zeros((len(roles), len(names)))
    for k, role in enumerate(roles):
        for name, value in role.parts.items():
            if name in index:
                table[k, index[name]] = value
    truth = np.array([ROLES.index(r.role) for r in roles])
    mean = np.zeros((len(names), len(ROLES)))
    for n, role_name in enumerate(ROLES):
        if f"rule {role_name}" in index:
            mean[index[f"rule {role_name}"], n] = PRIOR_RULE
    hot = np.eye(len(ROLES))[truth]

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        weights = flat.reshape(mean.shape)
        scores = table @ weights
        scores -= scores.max(axis=1, keepdims=True)
        power = np.exp(scores)
        whole = power.sum(axis=1, keepdims=True)
        away = weights - mean
        total = float(np.sum(np.log(whole[:, 0]) - scores[np.arange(len(truth)), truth]) + ridge / 2 * np.sum(away**2))
        return total, (table.T @ (power / whole - hot) + ridge * away).ravel()

    best = minimize(loss, mean.ravel(), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x.reshape(mean.shape)
    return {
        role: {name: round(float(best[k, n]), 4) for k, name in enumerate(names) if abs(best[k, n]) > 5e-4}
        for n, role in enumerate(ROLES)
    }


def role_share(roles: Sequence[Part], weights: Mapping[str, Mapping[str, float]]) -> float:
    """Give the share of right parts."""
    use({**load_weights("measurements"), "roles": weights})
    return sum(str(choose_role(r.parts)) == r.role for r in roles) / max(1, len(roles))


def folded_roles(roles: Sequence[Part], ridge: float) -> tuple[float, float]:
    """Give the share of right parts, and by rule alone, where each recording is left out of its fit."""
    names = sorted({r.name for r in roles})
    right = 0.0
    for fold in range(FOLDS):
        out = set(names[fold::FOLDS])
        left = [r for r in roles if r.name in out]
        right += len(left) * role_share(left, fit_roles([r for r in roles if r.name not in out], ridge))
    by_rule = sum(r.parts.get(f"rule {r.role}", 0.0) for r in roles)
    return right / len(roles), by_rule / len(roles)


def right_share(choices: Sequence[Choice], weights: Mapping[str, float]) -> tuple[int, int, int]:
    """Count the choices that are right, those that could be, and all."""
    right = sum(choice.right[pick(choice, weights)] for choice in choices)
    return right, sum(any(c.right) for c in choices), len(choices)


def pick(choice: Choice, weights: Mapping[str, float]) -> int:
    """Give the candidate that the weights choose."""
    scores = [sum(weights.get(n, 0.0) * v for n, v in parts.items()) for parts in choice.offered]
    return int(np.argmax(scores))


def use(weights: dict[str, Any]) -> None:
    """Let the program read with these weights."""
    loaded = load_weights("measurements")
    kept = dict(weights)
    loaded.clear()
    loaded.update(kept)


def folded(choices: Sequence[Choice], ridge: float) -> float:
    """Give the share of right choices where each narration is left out of its fit."""
    names = sorted({c.name for c in choices})
    right = 0
    for fold in range(FOLDS):
        out = set(names[fold::FOLDS])
        weights = fit_things([c for c in choices if c.name not in out], ridge)
        right += right_share([c for c in choices if c.name in out], weights)[0]
    return right / len(choices)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--cache", type=Path)
    parser.add_argument("--folds", action="store_true")
    parser.add_argument("--ridge", type=float, default=RIDGE)
    parser.add_argument("--ridge-roles", type=float, default=RIDGE_ROLES)
    options = parser.parse_args()
    lexicon = load()
    records = records_of(lexicon, True, SEEDS, options.cache)
    things = {name: SCALE * weight for name, weight in FIRST.items()}
    roles: dict[str, dict[str, float]] = {name: {f"rule {name}": PRIOR_RULE} for name in ROLES}
    report: dict[str, Any] = {}
    for number in range(ROUNDS):
        use({"things": things, "roles": roles})
        choices, parts = collect(records, lexicon)
        if not number:
            report["things by hand"] = right_share(choices, things)
        things, roles = fit_things(choices, options.ridge), fit_roles(parts, options.ridge_roles)
        report["things fitted"] = right_share(choices, things)
        report["roles fitted"] = round(role_share(parts, roles), 4), len(parts)
        print(report, flush=True)
    if options.folds:
        for ridge in (7.0, 15.0, 30.0):
            print(f"things, ridge {ridge}: left out {folded(choices, ridge):.3f}", flush=True)
        for ridge in (2.0, 5.0):
            print(f"roles, ridge {ridge}: left out {folded_roles(parts, ridge)}", flush=True)
    weights = {"report": report, "things": things, "roles": roles}
    WEIGHTS.write_text(json.dumps(weights, indent=0, ensure_ascii=False, sort_keys=True) + "\n", "utf-8")


if __name__ == "__main__":
    main()
