"""Fit the weights of requests on the narrations: logistic regression, L2, on stretches of words.

Run ``python tests/fit/fit_requests.py`` from the root of the project, after ``fit_clauses.py``; it renews the key ``asking``
of ``lexicons/weights/clauses.json``. Learnt from: every statement of a narration, and the stretches that are taken for
requests wrongly when the stream is cut (two rounds). Gap scores come from the narrations of the other hands, so that they
are as good as on speech not seen. Silences are those that the narrations write down.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.sparse import csr_matrix
from sklearn.linear_model import LogisticRegression

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests"), str(ROOT / "tests" / "fit")]

from fit_clauses import Text, fit_gaps  # noqa: E402

from otochron.lexicon import load  # noqa: E402
from otochron.stages import asking  # noqa: E402
from otochron.stages.clauses import gap_scores  # noqa: E402
from otochron.text.segments import cut  # noqa: E402
from script import Script, read_folder  # noqa: E402

WEIGHTS = ROOT / "lexicons" / "weights" / "clauses.json"
STRENGTH = 0.2
"""Inverse of the L2 penalty; chosen by cross-validation over hands."""
MORE = 0.0
"""Added to the log-odds of every request."""
ROUNDS = 1
MINED = 0.3
"""Weight of a stretch that is taken for a request wrongly: some of them are requests that nobody marked."""
WAIT_S = 2.0
SEEN = 2
SMALL = 0.05


class Heard(Text):
    """One narration with what requests are told by."""

    def __init__(self, script: Script, lexicon) -> None:
        super().__init__(script, lexicon)
        self.hand = script.path.stem[0]
        self.signs = asking.Signs(self.seen)
        self.waits: list[bool] = [False] * len(self.stream)
        for start, statement in zip(self.starts[1:], script.statements[1:], strict=True):
            self.waits[start - 1] = statement.pause_before >= WAIT_S
        self.edges = list(pairwise([*self.starts, len(self.stream)]))
        self.asks = [
            name == "request"
            for (first, last), name in zip(self.edges, self.registers, strict=True)
            for _ in range(first, last)
        ]
        self.gaps: list[float] = []
        self.lengths: list[float] = []

    def listen(self, weights: dict) -> None:
        """Score the gaps with weights of other hands."""
        self.gaps = gap_scores(self.flat, self.seen, weights, timed=False)
        self.lengths = weights["length"]

    def mostly_asks(self, first: int, last: int) -> bool:
        return 2 * sum(self.asks[first:last]) > last - first

    def found(self, weights: dict[str, float]) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
        """Give the clauses, and those of them that are taken for requests."""
        asked = asking.asked_stretches(self.flat, self.seen, self.gaps, self.waits, weights)
        clauses = list(pairwise([*cut(self.gaps, self.lengths, asked), len(self.stream)]))
        return clauses, [place for place in clauses if place in asked]


def fit_requests(texts: Sequence[Heard]) -> dict[str, float]:
    """Learn from true statements, and from what is taken for a request wrongly."""
    rows: dict[tuple[int, int, int], dict] = {}
    truth: dict[tuple[int, int, int], bool] = {}
    shares: list[float] = []

    def learn(n: int, place: tuple[int, int], right: bool, share: float) -> None:
        text = texts[n]
        if (n, *place) not in rows:
            rows[n, *place] = asking.evidence(text.flat, text.seen, text.waits, place, text.signs)
            truth[n, *place] = right
            shares.append(share)

    for n, text in enumerate(texts):
        for place, name in zip(text.edges, text.registers, strict=True):
            if place[1] - place[0] <= asking.LONGEST:
                learn(n, place, name == "request", 1.0)
    weights = logistic(list(rows.values()), list(truth.values()), shares)
    for _ in range(ROUNDS):
        for n, text in enumerate(texts):
            for place in text.found(weights)[1]:
                if not text.mostly_asks(*place):
                    learn(n, place, False, MINED)
        weights = logistic(list(rows.values()), list(truth.values()), shares)
    weights["request"] = round(weights["request"] + MORE, 2)
    return weights


def logistic(rows: Sequence[dict], truth: Sequence[bool], shares: Sequence[float]) -> dict[str, float]:
    counts = Counter(name for row in rows for name in row)
    names = {name: n for n, name in enumerate(sorted(k for k, v in counts.items() if v >= SEEN))}
    data, cols, ends = [], [], [0]
    for row in rows:
        for name, value in row.items():
            if name in names:
                data.append(value)
                cols.append(names[name])
        ends.append(len(data))
    x = csr_matrix((data, cols, ends), shape=(len(rows), len(names)))
    model = LogisticRegression(C=STRENGTH, max_iter=400, fit_intercept=False).fit(x, truth, sample_weight=shares)
    return {name: round(float(model.coef_[0][n]), 2) for name, n in names.items() if abs(model.coef_[0][n]) >= SMALL}


def judge(text: Heard, weights: dict[str, float]) -> np.ndarray:
    """Count requests found, requests, right ones of those given, and given ones; most of the words decide."""
    _, asked = text.found(weights)
    covered = np.zeros(len(text.stream))
    for first, last in asked:
        covered[first:last] = 1
    wanted = [place for place, name in zip(text.edges, text.registers, strict=True) if name == "request"]
    hit = sum(2 * covered[first:last].sum() > last - first for first, last in wanted)
    return np.array([hit, len(wanted), sum(text.mostly_asks(*place) for place in asked), len(asked)])


def main() -> None:
    lexicon = load()
    texts = [Heard(script, lexicon) for script in read_folder(ROOT / "tests" / "narrations")]
    hands = sorted({text.hand for text in texts})
    for hand in hands:
        weights = fit_gaps([text for text in texts if text.hand != hand])
        for text in texts:
            if text.hand == hand:
                text.listen(weights)
    report = {}
    total = np.zeros(4)
    for hand in hands:
        weights = fit_requests([text for text in texts if text.hand != hand])
        counts = sum(judge(text, weights) for text in texts if text.hand == hand)
        total = total + counts
        report[f"hand {hand}: recall, precision"] = shares(counts)
    report["all hands: recall, precision"] = shares(total)
    print(json.dumps(report, indent=1))
    shipped = json.loads(WEIGHTS.read_text("utf-8"))
    shipped["report"]["requests, fitted on the other hands"] = report
    shipped["asking"] = fit_requests(texts)
    WEIGHTS.write_text(json.dumps(shipped, ensure_ascii=False, indent=0) + "\n", "utf-8")


def shares(counts: np.ndarray) -> list[float]:
    return [round(float(counts[0] / counts[1]), 3), round(float(counts[2] / max(1, counts[3])), 3)]


if __name__ == "__main__":
    main()
