"""Fit the weights of the timeline of steps on the training narrations.

Run ``python tests/fit/fit_steps.py`` from the root of the project; it writes ``lexicons/weights/steps.json``.
Two parts: counts (what was spoken during which step, in the narrations and in ``tests/tellings``: statements of each
step that belong to no one operation), and weights of the channels and of the changes, fitted with counts from which
the narration itself is left out. ``--report kinds`` leaves out each kind of operation in turn (the weights that
all steps share are those of the last fit), ``--report all`` also each writer, and fits everything again. What is
left out is left out of everything but the word lists and the statements.
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
from narrated import ROOT, Told, all_condensed, all_statements, all_told
from reading import Read, fit_reader, fit_weights, read, steps, told
from sklearn.feature_extraction import DictVectorizer
from sklearn.linear_model import LogisticRegression

from otochron.lexicon import load
from otochron.lexicon.weights import load_weights
from otochron.score import measures
from otochron.stages.steps.boundary import boundary_evidence, boundary_scores
from otochron.stages.steps.decode import WAYS, columns_asked, potentials
from otochron.stages.steps.evidence import NONE_EVIDENCE, channels
from otochron.stages.steps.knowledge import Knowledge, knowledge
from otochron.stages.steps.learned import NONE, Counts, Learned
from otochron.stages.steps.order import CHANGES, PAIRS, RETURNS, change_evidence, pair_evidence
from otochron.stages.steps.path import best_path
from otochron.stages.steps.reader import FILE, Reader, dump
from otochron.stages.steps.units import Telling, Unit, read_telling

COST = 0.3
RIDGE = 1.0
ROUNDS = 40
EAGERNESS = 0.0
ERRORS = 0.12
FEW = 0.04
"""Errors of the statements: they stand for what is said, once each."""
SEEDS = (1,)
SEEN = 4
BOUNDARY_C = 0.1
BOUNDARY_FOLDS = 5
READER_FOLDS = 4


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
    ordered: bool = True
    """False for statements of no one operation: they are counted and nothing else."""


def make_case(one: Told, lexicon, *, whole: bool = True, ordered: bool = True) -> Case:
    telling = read_telling(one.record, lexicon)
    return Case(
        one.name,
        tuple(p.strip() for p in one.header["procedures"].split(",")),
        telling,
        [label_of(unit, one.segments) for unit in telling.units],
        one.segments,
        whole,
        ordered,
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
        if case.whole or not case.ordered:
            counts.add(case.telling.units, case.labels, ordered=case.ordered)
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
    names = sorted({case.name for case in cases if case.ordered})
    found = {}
    for k in range(BOUNDARY_FOLDS):
        out = set(names[k::BOUNDARY_FOLDS])
        weights = fit_boundary([case for case in cases if case.name not in out])
        found |= {id(case): np.array(boundary_scores(case.telling, weights)) for case in cases if case.name in out}
    return found


def readings(cases: Sequence[Case], known: Knowledge) -> dict[int, Read]:
    """Give the features of each recording that the reader learns from."""
    return {id(case): read(case.telling, case.labels, known) for case in cases if case.whole or not case.ordered}


def left_out_readers(cases: Sequence[Case], known: Knowledge) -> dict[str, Reader]:
    """Give for each narration a reader that was fitted without it."""
    names = sorted({case.name for case in cases if case.ordered})
    rows, phrases = readings(cases, known), told(known)
    found = {}
    for k in range(READER_FOLDS):
        out = set(names[k::READER_FOLDS])
        kept = [rows[id(case)] for case in cases if id(case) in rows and case.name not in out]
        found |= dict.fromkeys(out, fit_reader(kept, phrases, known))
    return found


def sequence(case: Case, known: Knowledge, learned: Learned, boundary: np.ndarray) -> Sequence1:
    """Give the evidence of a recording, over the steps that are in question there: the fit is quicker for it."""
    units = case.telling.units
    x = np.stack([m for _, m in channels(case.telling, known, learned)], 2).astype(np.float32)
    pair, backward = pair_evidence(known, learned, case.telling.guesses)
    none = np.array([[tell(u) for tell in NONE_EVIDENCE.values()] for u in units])
    y = np.array([learned.column[label] for label in case.labels])
    kept = np.array(sorted({*columns_asked(case.telling, known).tolist(), *y.tolist()}))
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
    """Give counts of all the cases, and weights fitted with each recording left out of its own counts and reader."""
    counts = counts_of(cases)
    boundaries = left_out_boundaries(cases)
    readers = left_out_readers(cases, known)
    sequences = []
    for name in sorted({case.name for case in cases if case.ordered}):
        own = [case for case in cases if case.name == name]
        whole = [case for case in own if case.whole]
        for case in whole:
            counts.add(case.telling.units, case.labels, -1)
        learned = Learned(counts, known, readers[name])
        sequences += [sequence(case, known, learned, boundaries[id(case)]) for case in own]
        for case in whole:
            counts.add(case.telling.units, case.labels)
    theta = fit(sequences, COST, RIDGE, rounds)
    weights = as_weights(theta, channel_names(cases[0], known, learned))
    return counts, weights | {"boundary": fit_boundary(cases)}


def whole_reader(cases: Sequence[Case], known: Knowledge) -> Reader:
    return fit_reader(list(readings(cases, known).values()), told(known), known)


def as_weights(theta: np.ndarray, names: Sequence[str]) -> dict:
    count = len(WAYS) * len(names)
    ways = np.round(theta[:count].reshape(len(WAYS), -1).T.astype(float), 3).tolist()
    keys = [
        ("none", list(NONE_EVIDENCE)),
        ("pairs", PAIRS),
        ("changes", [*CHANGES, "boundary"]),
        ("returns", list(RETURNS)),
    ]
    found: dict = {"eagerness": EAGERNESS, "channels": dict(zip(names, ways, strict=True))}
    place = count
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
    return best_path(potentials(case.telling, known, learned, weights), case.telling.units)


def left_out(
    cases: Sequence[Case], known: Knowledge, groups: Sequence[set[str]], rounds: int, shared: dict | None = None
) -> dict[str, float]:
    """Fit without each group in turn and judge it.

    With ``shared``, those weights that are the same for all steps are taken from there and not fitted again: the
    counts, the reader and the boundaries are.
    """
    pairs = []
    for group in groups:
        rest = [case for case in cases if case.name not in group]
        if shared is None:
            counts, weights = train(rest, known, rounds)
        else:
            counts, weights = counts_of(rest), shared | {"boundary": fit_boundary(rest)}
        learned = Learned(counts, known, whole_reader(rest, known))
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
    cases += [make_case(one, lexicon, whole=False, ordered=False) for one in all_statements(lexicon, SEEDS[0], FEW)]
    if cache:
        Path(cache).write_bytes(pickle.dumps(cases))
    return cases


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--report", choices=("none", "quick", "kinds", "all"), default="quick")
    ask.add_argument("--cache", help="keep the recordings here between runs")
    ask.add_argument("--rounds", type=int, default=ROUNDS, help="of the fits that are judged")
    ask.add_argument("--judge-only", action="store_true", help="write nothing")
    asked = ask.parse_args()
    known = knowledge(load())
    cases = get_cases(asked.cache)
    names = sorted({case.name for case in cases if case.ordered})
    report: dict = {"narrations": len(names), "units": sum(len(c.telling.units) for c in cases)}
    started = time.time()
    if asked.report in ("quick", "all"):
        report["4 folds of narrations"] = left_out(cases, known, [set(names[k::4]) for k in range(4)], asked.rounds)
        print(report, round(time.time() - started))
    if asked.report in ("kinds", "all"):
        kinds = sorted({case.operations[0] for case in cases if case.ordered})
        groups = [{c.name for c in cases if c.ordered and c.operations[0] == kind} for kind in kinds]
        shared = None if asked.report == "all" else load_weights("steps")
        report["each kind of operation left out"] = left_out(cases, known, groups, asked.rounds, shared)
        print(report, round(time.time() - started))
    if asked.report == "all":
        hands = sorted({name[0] for name in names})
        report["each writer left out"] = left_out(
            cases, known, [{n for n in names if n[0] == hand} for hand in hands], asked.rounds
        )
        print(report)
    if asked.judge_only:
        return
    counts, weights = train(cases, known)
    data = {"report": report} | weights | {"counts": counts.dump()}
    text = json.dumps(data, ensure_ascii=False, indent=0) + "\n"
    (ROOT / "lexicons" / "weights" / "steps.json").write_text(text, "utf-8")
    names, reader = fit_weights(list(readings(cases, known).values()), told(known), known.columns)
    (ROOT / "lexicons" / "weights" / FILE).write_bytes(dump(names, steps(known), reader))
    print(len(text), "characters")


if __name__ == "__main__":
    main()
