"""Fit the weights of the timeline of steps on the training narrations.

Run ``python tests/fit/fit_steps.py`` from the root of the project; it writes ``lexicons/weights/steps.json``.
Two parts: counts (what was spoken during which step), and weights of the channels and of the changes, fitted with
counts from which the narration itself is left out. ``--report all`` also leaves out each kind of operation and each
writer in turn.
"""

from __future__ import annotations

import argparse
import json
import pickle
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from crf import Sequence1, fit
from narrated import ROOT, Told, all_condensed, all_told
from sklearn.feature_extraction import DictVectorizer
from sklearn.linear_model import LogisticRegression

from otochron.lexicon import load
from otochron.score import measures
from otochron.stages.steps.boundary import boundary_evidence, boundary_scores
from otochron.stages.steps.decode import best_path, potentials
from otochron.stages.steps.evidence import NONE_EVIDENCE, channels
from otochron.stages.steps.knowledge import Knowledge, knowledge
from otochron.stages.steps.learned import NONE, Counts, Learned
from otochron.stages.steps.order import CHANGES, PAIRS, RETURNS, change_evidence, pair_evidence
from otochron.stages.steps.units import Telling, Unit, read_telling

COST = 0.3
RIDGE = 0.3
ROUNDS = 50
EAGERNESS = 1.25
ERRORS = 0.12
SEEDS = (1,)
SEEN = 4
BOUNDARY_C = 0.1
BOUNDARY_FOLDS = 5


@dataclass
class Case:
    """One recording, cut and labelled."""

    name: str
    operations: tuple[str, ...]
    telling: Telling
    labels: list[str]
    segments: list[tuple[float, float, str | None]]
    whole: bool = True
    """False for a condensed narration: it is learned from for the weights, not for the counts, and never judged."""


def make_case(one: Told, lexicon, *, whole: bool = True) -> Case:
    telling = read_telling(one.record, lexicon)
    return Case(
        one.name,
        tuple(p.strip() for p in one.header["procedures"].split(",")),
        telling,
        [label_of(unit, one.segments) for unit in telling.units],
        one.segments,
        whole,
    )


def label_of(unit: Unit, segments: Iterable[tuple[float, float, str | None]]) -> str:
    """Give the step during which most of a unit was spoken."""
    shared: dict[str, float] = {}
    for start, end, label in segments:
        common = min(end * 1000, unit.spoken_ms) - max(start * 1000, unit.start_ms)
        if common > 0:
            shared[label or NONE] = shared.get(label or NONE, 0) + common
    return max(sorted(shared), key=lambda name: shared[name]) if shared else NONE


def counts_of(cases: Sequence[Case]) -> Counts:
    counts = Counts()
    for case in cases:
        if case.whole:
            counts.add(case.telling.units, case.labels)
    return counts


def fit_boundary(cases: Sequence[Case]) -> dict[str, float]:
    """Fit how likely another step begins with a unit."""
    rows, truth = [], []
    for case in (case for case in cases if case.whole):
        for n in range(1, len(case.labels)):
            rows.append(boundary_evidence(case.telling, n))
            truth.append(case.labels[n] != case.labels[n - 1])
    counts = Counter(name for row in rows for name in row)
    table = DictVectorizer(dtype=np.float32)
    x = table.fit_transform([{name: value for name, value in row.items() if counts[name] >= SEEN} for row in rows])
    model = LogisticRegression(C=BOUNDARY_C, max_iter=300, fit_intercept=False).fit(x, truth)
    return {
        name: round(float(weight), 3)
        for name, weight in zip(table.get_feature_names_out(), model.coef_[0], strict=True)
        if abs(weight) >= 0.02
    }


def left_out_boundaries(cases: Sequence[Case]) -> dict[int, np.ndarray]:
    """Give the boundary scores of each case by weights that were fitted without its narration."""
    names = sorted({case.name for case in cases})
    found = {}
    for k in range(BOUNDARY_FOLDS):
        out = set(names[k::BOUNDARY_FOLDS])
        weights = fit_boundary([case for case in cases if case.name not in out])
        found |= {id(case): np.array(boundary_scores(case.telling, weights)) for case in cases if case.name in out}
    return found


def sequence(case: Case, known: Knowledge, learned: Learned, boundary: np.ndarray) -> Sequence1:
    """Give the evidence of a recording, over the steps that are in question there: the fit is quicker for it."""
    units = case.telling.units
    x = np.stack([m for _, m in channels(case.telling, known, learned)], 2).astype(np.float32)
    pair, backward = pair_evidence(known, learned, case.telling.guesses)
    none = np.array([[tell(u) for tell in NONE_EVIDENCE.values()] for u in units])
    y = np.array([learned.column[label] for label in case.labels])
    asked = set(y.tolist()) | {known.none}
    for guess in case.telling.guesses[:3]:
        asked |= set(np.nonzero(known.order[guess.procedure] >= 0)[0].tolist())
    asked |= set(np.argsort(-x.sum(2), axis=1)[:, :3].ravel().tolist())
    kept = np.array(sorted(asked))
    pair = pair[np.append(kept, known.columns)][:, kept]
    place = {column: n for n, column in enumerate(kept.tolist())}
    return Sequence1(
        np.ascontiguousarray(x[:, kept]),
        none,
        pair,
        backward[np.ix_(kept, kept)],
        np.column_stack([change_evidence(units, CHANGES), boundary]),
        change_evidence(units, RETURNS),
        np.array([place[column] for column in y.tolist()]),
    )


def channel_names(case: Case, known: Knowledge, learned: Learned) -> list[str]:
    return [name for name, _ in channels(case.telling, known, learned)]


def train(cases: Sequence[Case], known: Knowledge, rounds: int = ROUNDS) -> tuple[Counts, dict]:
    """Give counts of all the cases, and weights fitted with each recording left out of its own counts."""
    counts = counts_of(cases)
    boundaries = left_out_boundaries(cases)
    sequences = []
    for name in sorted({case.name for case in cases}):
        own = [case for case in cases if case.name == name]
        whole = [case for case in own if case.whole]
        for case in whole:
            counts.add(case.telling.units, case.labels, -1)
        learned = Learned(counts, known)
        sequences += [sequence(case, known, learned, boundaries[id(case)]) for case in own]
        for case in whole:
            counts.add(case.telling.units, case.labels)
    theta = fit(sequences, COST, RIDGE, rounds)
    weights = as_weights(theta, channel_names(cases[0], known, learned))
    return counts, weights | {"boundary": fit_boundary(cases)}


def as_weights(theta: np.ndarray, names: Sequence[str]) -> dict:
    keys = [
        ("channels", names),
        ("none", list(NONE_EVIDENCE)),
        ("pairs", PAIRS),
        ("changes", [*CHANGES, "boundary"]),
        ("returns", list(RETURNS)),
    ]
    found: dict = {"eagerness": EAGERNESS}
    place = 0
    for key, parts in keys:
        found[key] = {name: round(float(theta[place + n]), 4) for n, name in enumerate(parts)}
        place += len(parts)
    return found


def frames(case: Case, path: Sequence[int], known: Knowledge) -> tuple[list[str], list[str]]:
    """Label every second, as the score does: a variant counts as its general step."""
    end = int(max(case.segments[-1][1], case.telling.units[-1].end_ms / 1000)) + 1
    general = {e.alias: (known.lexicon[e.broader[0]].alias if e.broader else e.alias) for e in known.steps}
    gold, made = [NONE] * end, [NONE] * end
    for start, stop, label in case.segments:
        if label:
            for second in range(int(start), min(end, int(stop + 0.5))):
                gold[second] = general[label]
    for unit, column in zip(case.telling.units, path, strict=True):
        if column != known.none:
            for second in range(unit.start_ms // 1000, min(end, (unit.end_ms + 500) // 1000)):
                made[second] = general[known.steps[column].alias]
    return gold, made


def judge(pairs: Sequence[tuple[list[str], list[str]]]) -> dict[str, float]:
    gold = [x for g, _ in pairs for x in g]
    made = [x for _, m in pairs for x in m]
    return {
        "accuracy": round(measures.frame_accuracy(gold, made) or 0, 4),
        "kappa": round(measures.cohen_kappa(gold, made) or 0, 4),
        "f1@50": round(float(np.mean([measures.segmental_f1(g, m, 0.5) for g, m in pairs])), 4),
        "edit": round(float(np.mean([measures.edit_score(g, m) for g, m in pairs])), 4),
    }


def decode(case: Case, known: Knowledge, learned: Learned, weights: dict) -> list[int]:
    return best_path(potentials(case.telling, known, learned, weights))


def left_out(cases: Sequence[Case], known: Knowledge, groups: Sequence[set[str]], rounds: int) -> dict[str, float]:
    """Fit without each group in turn and judge it."""
    pairs = []
    for group in groups:
        rest = [case for case in cases if case.name not in group]
        counts, weights = train(rest, known, rounds)
        learned = Learned(counts, known)
        for case in cases:
            if case.name in group and case.whole:
                pairs.append(frames(case, decode(case, known, learned, weights), known))
                print("   ", case.name, judge(pairs[-1:]), flush=True)
    return judge(pairs)


def get_cases(cache: str | None) -> list[Case]:
    lexicon = load()
    if cache and Path(cache).exists():
        return pickle.loads(Path(cache).read_bytes())
    cases = [make_case(one, lexicon) for seed in SEEDS for one in all_told(lexicon, seed, ERRORS)]
    cases += [make_case(one, lexicon, whole=False) for one in all_condensed(lexicon, SEEDS[0], ERRORS)]
    if cache:
        Path(cache).write_bytes(pickle.dumps(cases))
    return cases


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--report", choices=("none", "quick", "all"), default="quick")
    ask.add_argument("--cache", help="keep the recordings here between runs")
    asked = ask.parse_args()
    known = knowledge(load())
    cases = get_cases(asked.cache)
    names = sorted({case.name for case in cases})
    report: dict = {"narrations": len(names), "units": sum(len(c.units) for c in cases)}
    started = time.time()
    if asked.report != "none":
        report["4 folds of narrations"] = left_out(cases, known, [set(names[k::4]) for k in range(4)], ROUNDS)
        print(report, round(time.time() - started))
    if asked.report == "all":
        kinds = sorted({case.operations[0] for case in cases})
        report["each kind of operation left out"] = left_out(
            cases, known, [{c.name for c in cases if c.operations[0] == kind} for kind in kinds], ROUNDS
        )
        print(report, round(time.time() - started))
        hands = sorted({name[0] for name in names})
        report["each writer left out"] = left_out(
            cases, known, [{n for n in names if n[0] == hand} for hand in hands], ROUNDS
        )
        print(report)
    counts, weights = train(cases, known)
    data = {"report": report} | weights | {"counts": counts.dump()}
    text = json.dumps(data, ensure_ascii=False, indent=0) + "\n"
    (ROOT / "lexicons" / "weights" / "steps.json").write_text(text, "utf-8")
    print(len(text), "characters")


if __name__ == "__main__":
    main()
