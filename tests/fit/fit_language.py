"""Fit the weights of ``otochron.text.languages`` on the narrations: a linear-chain conditional random field.

Run ``python tests/fit/fit_language.py`` from the root of the project; it writes ``lexicons/weights/language.json``.
Half of the training text is the narrations as they are spoken, half is their stretches of one language cut at
random places and joined, so that a change of language is not only learned where these writers put it.
"""

from __future__ import annotations

import json
import random
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from otochron.lexicon import Lexicon, load  # noqa: E402
from otochron.model import Line, Record  # noqa: E402
from otochron.stages.language import known_words, word_languages  # noqa: E402
from otochron.text.languages import switch_evidence, switch_rate, word_evidence  # noqa: E402
from otochron.text.shares import listed  # noqa: E402
from otochron.text.stream import Word, words  # noqa: E402
from script import Script, read_folder  # noqa: E402

WORD_SEEN = 8
"""Words with a weight of their own are spoken at least this often in the narrations."""
SPOKEN_WEIGHT = 3.0
"""Of a narration as spoken, against its splices and the drawn words."""
SPOKEN = {"switch at a mark": 1.5, "switch at a pause": 0.7}
"""Set by hand: the narrations have no marks and no times."""
HIDDEN = 20
SMALL = 0.02
"""Weights below this are left out."""
Text = list[tuple[str, str]]


def script_text(script: Script) -> Text:
    return [pair for s in script.statements for pair in zip(s.words, s.languages, strict=True)]


def spliced(text: Text, rng: random.Random, sizes: tuple[int, int]) -> Text:
    """Pieces of some words of each language in turn, without regard to where statements end."""
    pools = {lang: iter([w for w, of in text if of == lang]) for lang in ("en", "fr")}
    made: Text = []
    lang = "en"
    while piece := list(islice(pools[lang], rng.randint(*sizes))):
        made += [(w, lang) for w in piece]
        lang = "fr" if lang == "en" else "en"
    return made


def drawn(rng: random.Random, sizes: tuple[int, int], total: int = 4000) -> Text:
    """Words drawn from the general lists as often as they are used, in pieces of each language in turn."""
    words_of: Text = []
    for lang in ("en", "fr"):
        shares = {w: p for w, p in listed(lang).items() if w.isalpha() and p >= 1e-7}
        words_of += [(w, lang) for w in rng.choices(list(shares), list(shares.values()), k=total // 2)]
    return spliced(words_of, rng, sizes)


def stream_of(text: Text, per_line: int = 14) -> tuple[tuple[Word, ...], list[str]]:
    """Cut a text into lines of some words and give its stream with the language of each word."""
    lines, languages = [], []
    for n in range(0, len(text), per_line):
        piece = text[n : n + per_line]
        said = " ".join(w for w, _ in piece)
        lines.append(Line(id=f"line-{len(lines) + 1}", start_ms=0, end_ms=0, heard=said, text=said))
    stream = words(Record(lines=tuple(lines)))
    place = {}
    for n, line in enumerate(lines):
        offset = 0
        for word, lang in text[n * per_line : (n + 1) * per_line]:
            for k in range(len(word) + 1):
                place[line.id, offset + k] = lang
            offset += len(word) + 1
    languages = [place[w.line, w.start] for w in stream]
    return stream, languages


class Chain:
    """One training sequence as sparse numbers."""

    def __init__(self, text: Text, lexicon: Lexicon, weight: float = 1.0) -> None:
        self.weight = weight
        self.stream, languages = stream_of(text)
        self.truth = np.array([lang == "fr" for lang in languages])
        known = known_words(self.stream, lexicon)
        # A word in twenty is told by its letters alone, as rare words are.
        self.alone = [word_evidence(self.stream, n, k, listed=n % HIDDEN != 0) for n, k in enumerate(known)]
        rate = {"switch rate": switch_rate(languages)}
        self.change = [
            tuple(
                switch_evidence(self.stream[n - 1], self.stream[n], known[n - 1], known[n], lang) | rate
                for lang in ("en", "fr")
            )
            for n in range(1, len(self.stream))
        ]


SIZES = ((1, 4), (3, 20), (2, 6), (8, 40), (3, 12))
"""How many words the pieces of a spliced text have: some speakers change often, some hardly ever."""
FOLDS = 4
CHUNK = 150
"""Sequences are cut to this many words, so that many are counted at once."""


class Numbers:
    """Training sequences as sparse numbers, in pieces side by side."""

    def __init__(self, chains: Sequence[Chain], index: Callable[[str], int | None]) -> None:
        alone, to_en, to_fr, truth, inside, weight = [], [], [], [], [], []
        for c in chains:
            for n, evidence in enumerate(c.alone):
                first = n % CHUNK == 0
                alone.append(evidence | {"french": 1.0})
                to_en.append({} if first else c.change[n - 1][0])
                to_fr.append({} if first else c.change[n - 1][1])
                truth.append(bool(c.truth[n]))
                inside.append(True)
                weight.append(c.weight)
            while len(alone) % CHUNK:
                for rows in (alone, to_en, to_fr):
                    rows.append({})
                truth.append(truth[-1])
                inside.append(False)
                weight.append(c.weight)
        self.alone, self.to_en, self.to_fr = (sparse(rows, index) for rows in (alone, to_en, to_fr))
        self.truth = np.array(truth).reshape(-1, CHUNK)
        self.inside = np.array(inside).reshape(-1, CHUNK)
        self.weight = np.array(weight).reshape(-1, CHUNK)

    def widen(self, size: int) -> None:
        for x in (self.alone, self.to_en, self.to_fr):
            x.resize((x.shape[0], size))

    def loss(self, x: np.ndarray) -> tuple[float, np.ndarray]:
        """Minus the log-likelihood of the truth, and its slope."""
        shape = self.truth.shape
        a, en, fr = ((rows @ x).reshape(shape) for rows in (self.alone, self.to_en, self.to_fr))
        log_z, p, p_en, p_fr = forward_backward(a, en, fr)
        y = self.truth
        t_en, t_fr = np.zeros(shape), np.zeros(shape)
        t_en[:, 1:] = y[:, :-1] & ~y[:, 1:]
        t_fr[:, 1:] = ~y[:, :-1] & y[:, 1:]
        w = self.weight
        gold = (a * (y - 0.5) + en * t_en + fr * t_fr) * w
        slope = self.alone.T @ ((p - y) * self.inside * w).ravel()
        slope += self.to_en.T @ ((p_en - t_en) * w).ravel() + self.to_fr.T @ ((p_fr - t_fr) * w).ravel()
        return float((log_z * w[:, 0]).sum() - gold.sum()), slope


def sparse(rows: Sequence[dict[str, float]], index: Callable[[str], int | None]) -> csr_matrix:
    data, cols, ends = [], [], [0]
    for row in rows:
        for name, value in row.items():
            col = index(name)
            if col is not None:
                data.append(value)
                cols.append(col)
        ends.append(len(data))
    return csr_matrix((data, cols, ends), shape=(len(rows), max(cols) + 1))


def fit(texts: Sequence[Text], lexicon: Lexicon, l2: float = 1.0) -> dict[str, Any]:
    """Give the weights that make the true languages likeliest (L2 prior)."""
    chains = [Chain(text, lexicon, SPOKEN_WEIGHT if n % 3 == 0 else 1.0) for n, text in enumerate(texts)]
    spoken = Counter(name for c in chains for e in c.alone for name in e if "=" in name)
    spoken.update(name for c in chains for en, _ in c.change for name in en if "=" in name)
    keep = {name for name, n in spoken.items() if n >= WORD_SEEN}
    names: dict[str, int] = {"french": 0}

    def index(name: str) -> int | None:
        return None if "=" in name and name not in keep else names.setdefault(name, len(names))

    data = Numbers(chains, index)
    data.widen(len(names))
    prior = np.array([l2 if "=" in name else 0.01 for name in names])

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        total, slope = data.loss(w)
        return total + 0.5 * float(prior @ (w * w)), slope + prior * w

    best = minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B", options={"maxiter": 200})
    weights = {name: round(float(best.x[n]), 3) for name, n in names.items()}
    kept = {k: v for k, v in sorted(weights.items()) if abs(v) >= SMALL}
    return {
        "french": kept.pop("french", 0.0),
        "word": {k: v for k, v in kept.items() if not k.startswith("switch")},
        "switch": {k: v for k, v in kept.items() if k.startswith("switch")} | SPOKEN,
    }


Grid = np.ndarray


def forward_backward(a: Grid, to_en: Grid, to_fr: Grid) -> tuple[Grid, Grid, Grid, Grid]:
    """Log of the sum over all paths, P(French) of each word, P(change to each language) before each word."""
    rows, n = a.shape
    alpha, beta = np.zeros((2, rows, n)), np.zeros((2, rows, n))
    emit = np.stack([-a / 2, a / 2])
    alpha[:, :, 0] = emit[:, :, 0]
    for k in range(1, n):
        e, f = alpha[:, :, k - 1]
        alpha[0, :, k] = np.logaddexp(e, f + to_en[:, k]) + emit[0, :, k]
        alpha[1, :, k] = np.logaddexp(f, e + to_fr[:, k]) + emit[1, :, k]
    for k in range(n - 2, -1, -1):
        e, f = beta[:, :, k + 1] + emit[:, :, k + 1]
        beta[0, :, k] = np.logaddexp(e, f + to_fr[:, k + 1])
        beta[1, :, k] = np.logaddexp(f, e + to_en[:, k + 1])
    log_z = np.logaddexp(alpha[0, :, -1], alpha[1, :, -1])[:, None]
    p = np.exp(alpha[1] + beta[1] - log_z)
    after = beta + emit
    p_en, p_fr = np.zeros(a.shape), np.zeros(a.shape)
    p_en[:, 1:] = np.exp(alpha[1, :, :-1] + to_en[:, 1:] + after[0, :, 1:] - log_z)
    p_fr[:, 1:] = np.exp(alpha[0, :, :-1] + to_fr[:, 1:] + after[1, :, 1:] - log_z)
    return log_z[:, 0], p, p_en, p_fr


def accuracy(text: Text, lexicon, weights) -> tuple[int, int, list[str]]:
    stream, languages = stream_of(text)
    found = word_languages(stream, lexicon, weights, [None] * len(stream))
    wrong = [
        " ".join(
            f"*{stream[j].text}/{languages[j]}*" if found[j] != languages[j] else stream[j].text
            for j in range(max(0, n - 4), min(len(stream), n + 5))
        )
        for n in range(len(stream))
        if found[n] != languages[n]
    ]
    return len(stream) - len(wrong), len(stream), wrong


def training(scripts: Sequence[Script]) -> list[Text]:
    """Each narration as it is spoken and spliced, and as many words drawn from the lists."""
    rng = random.Random(4)
    texts: list[Text] = []
    for n, script in enumerate(scripts):
        text = script_text(script)
        texts += [text, spliced(text, rng, SIZES[n % len(SIZES)]), drawn(rng, SIZES[(n + 2) % len(SIZES)])]
    return texts


def main() -> None:
    lexicon = load()
    scripts = read_folder(ROOT / "tests" / "narrations")
    report: dict[str, float] = {}
    if "--quick" not in sys.argv:
        right = {"spoken": [0, 0], "spliced": [0, 0], "spliced by three words": [0, 0]}
        for k in range(FOLDS):
            weights = fit(training([s for n, s in enumerate(scripts) if n % FOLDS != k]), lexicon)
            for s in scripts[k::FOLDS]:
                text = script_text(s)
                trials = (text, spliced(text, random.Random(9), (4, 20)), spliced(text, random.Random(9), (3, 3)))
                for name, trial in zip(right, trials, strict=True):
                    good, total, _ = accuracy(trial, lexicon, weights)
                    right[name][0] += good
                    right[name][1] += total
        report = {name: round(a / b, 4) for name, (a, b) in right.items()}
        print(report)
    weights = fit(training(scripts), lexicon)
    weights = {"report": {"by word, fitted on the other narrations": report}} | weights
    text = json.dumps(weights, ensure_ascii=False, indent=1) + "\n"
    (ROOT / "lexicons" / "weights" / "language.json").write_text(text, "utf-8")


if __name__ == "__main__":
    main()
