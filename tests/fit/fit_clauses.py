"""Fit the weights of clauses and registers on the narrations: logistic regression, L2.

Run ``python tests/fit/fit_clauses.py`` from the root of the project; it writes ``lexicons/weights/clauses.json``.
A statement ends where a line of a narration ends. The narrations have no times and no marks: the weights of pauses,
lines and marks (``SPOKEN``) are set by hand. Requests are fitted after it, by ``fit_requests.py``.
"""

from __future__ import annotations

import json
import math
import sys
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.sparse import csr_matrix
from sklearn.linear_model import LogisticRegression

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from otochron.lexicon import load  # noqa: E402
from otochron.model import Line, Record  # noqa: E402
from otochron.stages.clauses import gap_scores, seen_words  # noqa: E402
from otochron.stages.registers import REGISTERS, register, register_evidence  # noqa: E402
from otochron.text.segments import cut, gap_evidence  # noqa: E402
from otochron.text.stream import with_languages, words  # noqa: E402
from script import Script, read_folder  # noqa: E402

SPOKEN = {"mark": 6.0, "comma": 0.3, "glued": -20.0, "new line": 0.2, "pause": 4.0}
"""Log-odds; a pause counts per second."""
GAP_MORE = 0.3
"""Added to every gap: a boundary that is missed joins two statements, one too many only halves one."""
LENGTH_SHARE = 0.7
REGISTER_MORE = {"teaching": 0.5, "aside": 0.3}
"""Added to the rarer registers."""
SEEN = 3
SMALL = 0.1
"""Weights below this are left out."""
LONGEST = 40


class Text:
    """One narration as a stream with true languages, statement starts and registers."""

    def __init__(self, script: Script, lexicon) -> None:
        lines = [
            Line(id=f"line-{n}", start_ms=0, end_ms=0, heard=s.text, text=s.text)
            for n, s in enumerate(script.statements)
        ]
        plain = words(Record(lines=tuple(lines)))
        place = {}
        for n, s in enumerate(script.statements):
            offset = 0
            for word, lang in zip(s.words, s.languages, strict=True):
                place.update({(f"line-{n}", offset + k): lang for k in range(len(word) + 1)})
                offset += len(word) + 1
        self.stream = with_languages(plain, [place[w.line, w.start] for w in plain])
        self.seen = seen_words(self.stream, lexicon)
        self.starts = [n for n, w in enumerate(self.stream) if not n or w.line != self.stream[n - 1].line]
        by_line = {f"line-{n}": s.register for n, s in enumerate(script.statements)}
        self.registers = [by_line[self.stream[n].line] for n in self.starts]
        # Judged as one line, as if the recogniser had cut nothing.
        from dataclasses import replace

        self.flat = tuple(replace(w, line="line-0") for w in self.stream)


def logistic(rows: Sequence[dict], truth: Sequence, c: float, seen: int = SEEN) -> dict:
    counts = Counter(name for row in rows for name in row)
    names = {name: n for n, name in enumerate(sorted(k for k, v in counts.items() if v >= seen))}
    data, cols, ends = [], [], [0]
    for row in rows:
        for name, value in row.items():
            if name in names:
                data.append(value)
                cols.append(names[name])
        ends.append(len(data))
    x = csr_matrix((data, cols, ends), shape=(len(rows), len(names)))
    model = LogisticRegression(C=c, max_iter=400, fit_intercept=False)
    model.fit(x, truth)
    return {
        str(label): {name: round(float(w[n]), 2) for name, n in names.items() if abs(w[n]) >= SMALL}
        for label, w in zip(
            model.classes_ if len(model.classes_) > 2 else [model.classes_[1]], model.coef_, strict=True
        )
    }


def fit(texts: Sequence[Text]) -> dict:
    weights = fit_gaps(texts)
    return weights | {"register": fit_registers(texts, weights)}


def fit_gaps(texts: Sequence[Text]) -> dict:
    """Learn where a statement ends."""
    rows, truth = [], []
    sizes: Counter[int] = Counter()
    for t in texts:
        starts = set(t.starts)
        for n in range(1, len(t.stream)):
            rows.append(gap_evidence(t.flat, t.seen, n))
            truth.append(n in starts)
        sizes.update(min(LONGEST, b - a) for a, b in pairwise([*t.starts, len(t.stream)]))
    gap = logistic(rows, truth, 0.5)["True"]
    gap["gap"] = round(gap["gap"] + GAP_MORE, 3)
    return {"gap": gap, "spoken": SPOKEN, "length": lengths(sizes)}


def fit_registers(texts: Sequence[Text], weights: dict) -> dict[str, dict[str, float]]:
    """Learn from true statements, and from clauses as they are found where these differ."""
    rows, registers = [], []
    for t in texts:
        cuts = {n: t.registers[k] for k, n in enumerate(t.starts)}
        by_word, name = [], ""
        for n in range(len(t.stream)):
            name = cuts.get(n, name)
            by_word.append(name)
        true = set(pairwise([*t.starts, len(t.stream)]))
        found = set(
            pairwise([*cut(gap_scores(t.flat, t.seen, weights, timed=False), weights["length"]), len(t.stream)])
        )
        for a, b in sorted(true | found):
            name, count = Counter(by_word[a:b]).most_common(1)[0]
            evidence = register_evidence(t.stream[a:b], t.seen[a:b])
            if name != "request" and count >= 0.6 * (b - a) and not doubtful(name, evidence):
                rows.append(evidence)
                registers.append(name)
    found_weights = logistic(rows, registers, 1.0)
    for name, more in REGISTER_MORE.items():
        found_weights[name]["clause"] = round(found_weights[name].get("clause", 0.0) + more, 3)
    return {name: found_weights.get(name, {}) for name in REGISTERS}


def doubtful(name: str, evidence: dict[str, float]) -> bool:
    """Tell a statement that the narrations mark unevenly: a bare name, or a courtesy word, without a mark."""
    return name == "narration" and ("cue=courtesy" in evidence or "bare thing to ask for" in evidence)


def lengths(sizes: Counter[int]) -> list[float]:
    """Log of how likely a statement has this length, against what gaps by themselves would give (geometric)."""
    total = sizes.total()
    mean = sum(n * k for n, k in sizes.items()) / total
    stop = 1 / mean
    smooth = {
        n: sum(sizes[m] * math.exp(-((m - n) ** 2) / 4.5) for m in range(1, LONGEST + 1)) for n in range(1, LONGEST + 1)
    }
    norm = sum(smooth.values())
    return [
        round(LENGTH_SHARE * max(-4.0, math.log(smooth[n] / norm + 1e-6) - math.log(stop * (1 - stop) ** (n - 1))), 3)
        for n in range(1, LONGEST + 1)
    ]


def window_scores(truth: set[int], found: set[int], total: int) -> tuple[float, float]:
    """Pk (Beeferman 1999) and WindowDiff (Pevzner & Hearst 2002) with half the mean length as window."""
    k = max(2, round(total / max(1, len(truth)) / 2))
    t, f = np.zeros(total + 1), np.zeros(total + 1)
    t[sorted(truth)] = 1
    f[sorted(found)] = 1
    ct, cf = np.cumsum(t), np.cumsum(f)
    a, b = ct[k:] - ct[:-k], cf[k:] - cf[:-k]
    return float(np.mean((a > 0) != (b > 0))), float(np.mean(a != b))


def judge(t: Text, weights: dict, table: Counter) -> tuple[float, float, int, int, int]:
    found = set(cut(gap_scores(t.flat, t.seen, weights, timed=False), weights["length"]))
    truth = set(t.starts)
    pk, wd = window_scores(truth, found, len(t.stream))
    for (a, b), name in zip(pairwise([*t.starts, len(t.stream)]), t.registers, strict=True):
        if name != "request":
            table[name, register(t.stream[a:b], t.seen[a:b], weights["register"])] += 1
    return pk, wd, len(truth & found), len(found), len(truth)


def main() -> None:
    lexicon = load()
    texts = [Text(s, lexicon) for s in read_folder(ROOT / "tests" / "narrations")]
    report = {}
    if "--quick" not in sys.argv:
        folds = 4
        table: Counter = Counter()
        rows = []
        for k in range(folds):
            weights = fit([t for n, t in enumerate(texts) if n % folds != k])
            rows += [judge(t, weights, table) for t in texts[k::folds]]
        hit, found, truth = (sum(r[n] for r in rows) for n in (2, 3, 4))
        report = {
            "pk": round(float(np.mean([r[0] for r in rows])), 4),
            "windowdiff": round(float(np.mean([r[1] for r in rows])), 4),
            "boundary precision": round(hit / found, 4),
            "boundary recall": round(hit / truth, 4),
        }
        for name in REGISTERS:
            right = table[name, name]
            report[f"{name} precision, recall"] = [
                round(right / max(1, sum(table[o, name] for o in REGISTERS)), 4),
                round(right / max(1, sum(table[name, o] for o in REGISTERS)), 4),
            ]
        print(json.dumps(report, indent=1))
    shipped = json.loads((ROOT / "lexicons" / "weights" / "clauses.json").read_text("utf-8"))
    weights = shipped | {"report": shipped["report"] | {"fitted on the other narrations": report}} | fit(texts)
    text = json.dumps(weights, ensure_ascii=False, indent=0) + "\n"
    (ROOT / "lexicons" / "weights" / "clauses.json").write_text(text, "utf-8")


if __name__ == "__main__":
    main()
