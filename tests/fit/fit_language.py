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
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from otochron.lexicon import load  # noqa: E402
from otochron.model import Line, Record  # noqa: E402
from otochron.stages.language import known_words, word_languages  # noqa: E402
from otochron.text.languages import switch_evidence, word_evidence  # noqa: E402
from otochron.text.stream import Word, words  # noqa: E402
from script import Script, read_folder  # noqa: E402

WORD_SEEN = 8
"""Words with a weight of their own are spoken at least this often in the narrations."""
Text = list[tuple[str, str]]


def script_text(script: Script) -> Text:
    return [pair for s in script.statements for pair in zip(s.words, s.languages, strict=True)]


def spliced(text: Text, rng: random.Random) -> Text:
    """Pieces of 3 to 20 words of each language in turn, without regard to where statements end."""
    pools = {lang: [w for w, l in text if l == lang] for lang in ("en", "fr")}
    made: Text = []
    lang = "en"
    while pools[lang]:
        size = rng.randint(3, 20)
        made += [(w, lang) for w in pools[lang][:size]]
        pools[lang] = pools[lang][size:]
        lang = "fr" if lang == "en" else "en"
    return made


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

    def __init__(self, text: Text, lexicon, names: dict[str, int] | None) -> None:
        self.stream, languages = stream_of(text)
        self.truth = np.array([lang == "fr" for lang in languages])
        known = known_words(self.stream, lexicon)
        self.alone = [word_evidence(w, k) for w, k in zip(self.stream, known, strict=True)]
        self.change = [
            tuple(
                switch_evidence(self.stream[n - 1], self.stream[n], known[n - 1], known[n], lang)
                for lang in ("en", "fr")
            )
            for n in range(1, len(self.stream))
        ]


def fit(texts: Sequence[Text], lexicon, l2: float = 1.0) -> dict:
    """Give the weights that make the true languages likeliest (L2 prior)."""
    from scipy.sparse import csr_matrix

    chains = [Chain(text, lexicon, None) for text in texts]
    spoken = Counter(name for c in chains for e in c.alone for name in e if name.startswith("word="))
    spoken.update(name for c in chains for pair in c.change for e in pair[:1] for name in e if "=" in name)
    keep = {name for name, n in spoken.items() if n >= WORD_SEEN}
    names: dict[str, int] = {"french": 0}

    def index(name: str) -> int | None:
        if "=" in name and name not in keep:
            return None
        return names.setdefault(name, len(names))

    def matrix(rows):
        data, cols, ends = [], [], [0]
        for row in rows:
            for name, value in row.items():
                col = index(name)
                if col is not None:
                    data.append(value)
                    cols.append(col)
            ends.append(len(data))
        return data, cols, ends

    raw = []
    for c in chains:
        raw.append(
            (
                matrix([e | {"french": 1.0} for e in c.alone]),
                matrix([en for en, _ in c.change]),
                matrix([fr for _, fr in c.change]),
                c.truth,
            )
        )
    size = len(names)
    data = [
        tuple(csr_matrix((d, cols, ends), shape=(len(ends) - 1, size)) for d, cols, ends in three) + (truth,)
        for *three, truth in raw
    ]
    prior = np.array([l2 if "=" in n else 0.01 for n in names])

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        total, grad = 0.5 * float(prior @ (w * w)), prior * w
        for x, z_en, z_fr, truth in data:
            a, to_en, to_fr = x @ w, z_en @ w, z_fr @ w
            log_z, p, p_en, p_fr = forward_backward(a, to_en, to_fr)
            y = truth.astype(float)
            t_en = (truth[:-1] & ~truth[1:]).astype(float)
            t_fr = (~truth[:-1] & truth[1:]).astype(float)
            gold = float(a @ (y - 0.5) + to_en @ t_en + to_fr @ t_fr)
            total += log_z - gold
            grad = grad + x.T @ (p - y) + z_en.T @ (p_en - t_en) + z_fr.T @ (p_fr - t_fr)
        return total, grad

    best = minimize(loss, np.zeros(size), jac=True, method="L-BFGS-B", options={"maxiter": 120})
    weights = {name: round(float(best.x[n]), 3) for name, n in names.items()}
    return {
        "french": weights["french"],
        "word": {
            k: v for k, v in sorted(weights.items()) if not k.startswith("switch") and k != "french" and v
        },
        "switch": {k: v for k, v in sorted(weights.items()) if k.startswith("switch") and v},
    }


def forward_backward(a, to_en, to_fr):
    """Log of the sum over all paths, P(French) of each word, P(change to each language) of each gap."""
    n = len(a)
    alpha = np.zeros((n, 2))
    beta = np.zeros((n, 2))
    emit = np.stack([-a / 2, a / 2], axis=1)
    alpha[0] = emit[0]
    for k in range(1, n):
        e, f = alpha[k - 1]
        alpha[k, 0] = np.logaddexp(e, f + to_en[k - 1]) + emit[k, 0]
        alpha[k, 1] = np.logaddexp(f, e + to_fr[k - 1]) + emit[k, 1]
    for k in range(n - 2, -1, -1):
        e, f = beta[k + 1] + emit[k + 1]
        beta[k, 0] = np.logaddexp(e, f + to_fr[k])
        beta[k, 1] = np.logaddexp(f, e + to_en[k])
    log_z = float(np.logaddexp(alpha[-1, 0], alpha[-1, 1]))
    p = np.exp(alpha[:, 1] + beta[:, 1] - log_z)
    nxt = beta[1:] + emit[1:]
    p_en = np.exp(alpha[:-1, 1] + to_en + nxt[:, 0] - log_z)
    p_fr = np.exp(alpha[:-1, 0] + to_fr + nxt[:, 1] - log_z)
    return log_z, p, p_en, p_fr


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
    rng = random.Random(4)
    return [t for s in scripts for t in (script_text(s), spliced(script_text(s), rng))]


def main() -> None:
    lexicon = load()
    scripts = read_folder(ROOT / "tests" / "narrations")
    report: dict[str, float] = {}
    if "--quick" not in sys.argv:
        for name in ("spoken", "spliced"):
            report[name] = 0.0
        folds = 4
        right = {"spoken": [0, 0], "spliced": [0, 0]}
        wrong: list[str] = []
        for k in range(folds):
            weights = fit(training([s for n, s in enumerate(scripts) if n % folds != k]), lexicon)
            for s in scripts[k::folds]:
                for name, text in (
                    ("spoken", script_text(s)),
                    ("spliced", spliced(script_text(s), random.Random(9))),
                ):
                    good, all_, bad = accuracy(text, lexicon, weights)
                    right[name][0] += good
                    right[name][1] += all_
                    wrong += [f"{name} {s.path.stem}: {b}" for b in bad]
        report = {name: round(a / b, 4) for name, (a, b) in right.items()}
        Path("/tmp/lang_wrong.txt").write_text("\n".join(wrong))
        print(report)
    weights = fit(training(scripts), lexicon)
    weights = {"report": {"by word, fitted on the other narrations": report}} | weights
    text = json.dumps(weights, ensure_ascii=False, indent=1) + "\n"
    (ROOT / "lexicons" / "weights" / "language.json").write_text(text, "utf-8")


if __name__ == "__main__":
    main()
