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
import pickle
import random
import sys
import zlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from build import say
from narrated import EVERYDAY_ERRORS, NARRATIONS, ROOT, Heard, duration, misheard, sample_formats, trade_words
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

sys.path.insert(0, str(ROOT / "tests" / "stages"))
from measured import GOLD, is_tune, same_value

from otochron.lexicon import Lexicon, load
from otochron.lexicon.weights import load_weights
from otochron.model import Measurement, Record
from otochron.readers import read_bytes
from otochron.score import read_gold
from otochron.score.gold import GoldMeasurement
from otochron.score.places import Terms
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.stages.measurements import read_watched
from otochron.stages.measurements.parts import choose_role
from otochron.stages.mentions import find_mentions
from otochron.stages.repair import find_repairs
from outside.test_dimensions import ROWS as HANDBOOK
from script import Script, read_script

HEADS = ROOT / "tests" / "stages" / "measurements_heads.jsonl"
WEIGHTS = ROOT / "lexicons" / "weights" / "measurements.json"
ERRORS = 0.12
SEEDS = (1,)
ROUNDS = 2
RIDGE, RIDGE_ROLES = 7.0, 2.0
SEEN = 3
NEAR_S = 12.0
PRIOR_RULE = 4.5
FOLDS = 5

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
    **{name: 1.0 for name in ("prior", "dimension", "needs", "form", "manner")},
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
    "other name": -0.5,
    "against both ends": -0.8,
    "sum": 0.5,
    "second side, no row": 1.2,
}
"""What was set by hand before the fit: the mean of the prior. Only the differences are paid for."""
SCALE = 3.0
"""Log odds for one point of what was set by hand."""

ROLES = ("None", "measured", "added", "target", "intermediate", "final")

Times = list[tuple[str, int, int]]


@dataclass
class Choice:
    """One amount: the parts of each candidate, and which are right."""

    name: str
    text: str
    offered: list[Mapping[str, float]]
    right: list[bool]
    labels: list[str]


@dataclass
class Part:
    """One amount and the part it plays."""

    name: str
    text: str
    parts: Mapping[str, float]
    role: str


def told(script: Script, lexicon: Lexicon, seed: int, errors: float) -> tuple[Record, Times]:
    """Give a narration as a record with mentions, and the times of its statements."""
    rng = random.Random(zlib.crc32(f"{script.path.stem} {seed}".encode()))
    heard: list[Heard] = []
    times: Times = []
    clock = 1.0
    for statement in script.statements:
        clock += statement.pause_before
        begin = clock
        trade = trade_words(statement.words, statement.languages, lexicon) if errors else set()
        for n, (word, language) in enumerate(zip(statement.words, statement.languages, strict=True)):
            share = errors if n in trade else min(errors / 10, EVERYDAY_ERRORS)
            new = misheard([word], language, rng) if len(word) > SEEN and rng.random() < share else [word]
            step = duration(word) / len(new)
            heard += [Heard(w, clock + k * step, clock + (k + 1) * step, 0.9, new != [word]) for k, w in enumerate(new)]
            clock += duration(word) + 0.02
        times.append((statement.text, round(begin * 1000), round(heard[-1].end * 1000)))
        clock += 0.3 + rng.random() * 0.5
    ending, text = sample_formats.segments(heard, rng)
    record = find_clauses(find_languages(read_bytes(text.encode(), f"narration.{ending}"), lexicon), lexicon)
    if errors:
        record = find_clauses(find_languages(find_repairs(record, lexicon), lexicon), lexicon)
    return find_mentions(record, lexicon), times


def gold(name: str) -> list[dict[str, Any]]:
    """Give the annotated amounts of a narration, each with its statement."""
    found: list[dict[str, Any]] = []
    for line in GOLD.read_text("utf-8").splitlines():
        row = json.loads(line)
        if row["id"] == name:
            where = {"statement": row["statement"], "text": row["text"]}
            for item in row["measurements"]:
                names = item["of"] if isinstance(item["of"], list) else [item["of"]]
                roles = {"role": [item["role"]]} if "role" in item else {}
                found.append({**where, "value": item["value"], "unit": item["unit"], "of": names, **roles})
            found.append({**where, "whole": True})
    for line in HEADS.read_text("utf-8").splitlines():
        row = json.loads(line)
        if row["id"] == name:
            found.append(row)
    return found


class SampleWatcher:
    """The same for a sample, whose gold has times."""

    def __init__(self, name: str, items: Sequence[GoldMeasurement], terms: Terms) -> None:
        self.name, self.terms = name, terms
        self.left = list(items)
        self.choices: list[Choice] = []
        self.roles: list[Part] = []
        self._roles_of: dict[int, str] = {}

    def see(self, scene: Any, amount: Any, offered: Any) -> None:
        """See what an amount may measure, or what speaks for its part."""
        if not isinstance(offered, list):
            if amount.first in self._roles_of:
                self.roles.append(Part(self.name, "", offered, self._roles_of[amount.first]))
            return
        at = scene.words[amount.first].start_ms / 1000
        text = " ".join(w.text for w in scene.words[max(0, amount.first - 8) : amount.last + 5])
        labels = [f"{link.of}/{link.row.id if link.row else ''}" for link in offered]
        parts = [link.parts for link in offered]
        near = [
            item
            for item in self.left
            if item.time - NEAR_S <= at <= (item.until or item.time) + NEAR_S
            and _fits({"value": item.value, "unit": item.unit}, amount)
        ]
        if near:
            item = min(near, key=lambda item: abs(item.time - at))
            self.left.remove(item)
            row = {"value": item.value, "unit": item.unit}
            right = [_right_value(row, amount, link) and self.terms.same(item.of, link.of) for link in offered]
            if item.has_role:
                self._roles_of[amount.first] = str(item.role)
            self.choices.append(Choice(self.name, text, parts, right, labels))
        elif amount.unit is None:
            self.choices.append(Choice(self.name, text, parts, [n == 0 for n in range(len(offered))], labels))


class Watcher:
    """Collects the candidates and parts of the annotated amounts while a record is read."""

    def __init__(self, name: str, times: Times, terms: Terms) -> None:
        self.name, self.times, self.terms = name, times, terms
        self.left: dict[int, list[dict[str, Any]]] = {}
        self.whole: set[int] = set()
        for row in gold(name):
            same = [n for n, (text, _, _) in enumerate(times) if text == row["text"]]
            if not same:
                continue
            place = min(same, key=lambda n: abs(n - row["statement"]))
            if row.get("whole"):
                self.whole.add(place)
            else:
                self.left.setdefault(place, []).append(row)
        self.choices: list[Choice] = []
        self.roles: list[Part] = []
        self._roles_of: dict[int, tuple[str, list[str | None]]] = {}

    def _place(self, at: int) -> int | None:
        return next((n for n, (_, start, end) in enumerate(self.times) if start - 200 <= at < end + 50), None)

    def see(self, scene: Any, amount: Any, offered: Any) -> None:
        """See what an amount may measure, or what speaks for its part."""
        if isinstance(offered, list):
            self._see_thing(scene, amount, offered)
            return
        text, roles = self._roles_of.get(amount.first, ("", []))
        if len(roles) == 1:
            self.roles.append(Part(self.name, text, offered, str(roles[0])))

    def _see_thing(self, scene: Any, amount: Any, offered: Sequence[Any]) -> None:
        place = self._place(scene.words[amount.first].start_ms)
        if place is None:
            return
        rows = self.left.get(place, [])
        row = next((r for r in rows if _fits(r, amount)), None)
        text = self.times[place][0]
        if row is None:
            if place in self.whole and amount.unit is None:
                self._add(text, offered, [n == 0 for n in range(len(offered))])
            return
        rows.remove(row)
        if row.get("none"):
            right = [n == 0 for n in range(len(offered))] if amount.unit is None else []
        else:
            right = [
                _right_value(row, amount, link) and any(self.terms.same(name, link.of) for name in row["of"])
                for link in offered
            ]
            right[0] = right[0] and amount.unit is not None
            if "role" in row:
                self._roles_of[amount.first] = (text, row["role"])
        if right:
            self._add(text, offered, right)

    def _add(self, text: str, offered: Sequence[Any], right: list[bool]) -> None:
        labels = [f"{link.of}/{link.row.id if link.row else ''}" for link in offered]
        self.choices.append(Choice(self.name, text, [link.parts for link in offered], right, labels))


def _fits(row: Mapping[str, Any], amount: Any) -> bool:
    value, unit = row["value"], row["unit"]
    if amount.unit is not None and amount.unit != unit:
        return False
    if isinstance(value, list):
        return amount.low is not None and amount.high is not None and [amount.low, amount.high] == value
    return any(abs(reading - value) <= 1e-6 * max(1.0, abs(value)) for reading in amount.readings)


def _right_value(row: Mapping[str, Any], amount: Any, link: Any) -> bool:
    if isinstance(row["value"], list):
        return bool(link.unit == row["unit"])
    made = link.reading
    return bool(
        link.unit == row["unit"] and made is not None and abs(made - row["value"]) <= 1e-6 * max(1.0, abs(made))
    )


def collect(records: Sequence[tuple[str, Record, Any]], lexicon: Lexicon) -> tuple[list[Choice], list[Part]]:
    """Give the examples of all records, read with the weights of the moment."""
    terms = Terms(lexicon)
    choices: list[Choice] = []
    roles: list[Part] = []
    for name, record, more in records:
        watcher = Watcher(name, more, terms) if isinstance(more, list) else SampleWatcher(name, more, terms)
        read_watched(record, lexicon, watcher.see)
        choices += watcher.choices
        roles += watcher.roles
    return choices, roles


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


def records_of(
    lexicon: Lexicon, tune: bool, seeds: Sequence[int], cache: Path | None
) -> list[tuple[str, Record, Times]]:
    """Give the narrations as records: clean, and misheard once for each seed."""
    kept = cache / f"records-{tune}.pkl" if cache else None
    if kept and kept.exists():
        return pickle.loads(kept.read_bytes())  # type: ignore[no-any-return]
    made = []
    for path in sorted(NARRATIONS.glob("*.txt")):
        if is_tune(path.stem) == tune:
            script = read_script(path)
            made += [(path.stem, *told(script, lexicon, 0, 0.0))]
            made += [(path.stem, *told(script, lexicon, seed, ERRORS)) for seed in seeds]
    for folder in sorted((ROOT / "samples").iterdir()) if tune else ():
        if not (folder / "gold.json").exists():
            continue
        gold_ = read_gold((folder / "gold.json").read_text("utf-8"), folder.name)
        if not gold_.report:
            path = next(folder.glob("transcript.*"))
            record = find_clauses(find_languages(read_bytes(path.read_bytes(), path.name), lexicon), lexicon)
            record = find_clauses(find_languages(find_repairs(record, lexicon), lexicon), lexicon)
            made += 2 * [(folder.name, find_mentions(record, lexicon), tuple(gold_.measurements))]
    for number, (language, text, value, unit, of, _) in enumerate(HANDBOOK if tune else ()):
        item = GoldMeasurement.model_validate({"time": 0.0, "value": value, "unit": unit, "of": of})
        made += [(f"handbook-{number % 10}", find_mentions(say(language, text), lexicon), (item,))]
    if kept:
        kept.write_bytes(pickle.dumps(made))
    return made


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
    parser.add_argument("--hand", action="store_true", help="write what was set by hand")
    options = parser.parse_args()
    lexicon = load()
    records = records_of(lexicon, True, SEEDS, options.cache)
    things = {name: SCALE * weight for name, weight in FIRST.items()}
    roles: dict[str, dict[str, float]] = {name: {f"rule {name}": PRIOR_RULE} for name in ROLES}
    report: dict[str, Any] = {}
    for number in range(0 if options.hand else ROUNDS):
        use({"things": things, "roles": roles})
        choices, parts = collect(records, lexicon)
        if not number:
            report["things by hand"] = right_share(choices, things)
        things, roles = fit_things(choices, options.ridge), fit_roles(parts, options.ridge_roles)
        report["things fitted"] = right_share(choices, things)
        report["roles fitted"] = round(role_share(parts, roles), 4), len(parts)
        print(report, flush=True)
    if options.folds:
        for ridge in (7.0,):
            print(f"things, ridge {ridge}: left out {folded(choices, ridge):.3f}", flush=True)
        for ridge in (2.0, 5.0):
            print(f"roles, ridge {ridge}: left out {folded_roles(parts, ridge)}", flush=True)
    weights = {"report": report, "things": things, "roles": roles}
    WEIGHTS.write_text(json.dumps(weights, indent=0, ensure_ascii=False, sort_keys=True) + "\n", "utf-8")


if __name__ == "__main__":
    main()
