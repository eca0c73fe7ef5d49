"""Amounts of narrations and samples with all that they may measure: what ``fit_measurements.py`` learns from."""

from __future__ import annotations

import json
import pickle
import random
import sys
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from narrated import EVERYDAY_ERRORS, NARRATIONS, ROOT, Heard, duration, misheard, sample_formats, trade_words

sys.path.insert(0, str(ROOT / "tests" / "stages"))
from measured import GOLD, is_tune

from build import say
from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.readers import read_bytes
from otochron.score import read_gold
from otochron.score.gold import GoldMeasurement
from otochron.score.places import Terms
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.stages.measurements import read_watched
from otochron.stages.mentions import find_mentions
from otochron.stages.repair import find_repairs
from outside.test_dimensions import ROWS as HANDBOOK
from script import Script, read_script

HEADS = ROOT / "tests" / "stages" / "measurements_heads.jsonl"
ERRORS = 0.12
LONG = 3
NEAR_S = 12.0

Times = list[tuple[str, int, int]]


@dataclass
class Choice:
    """One amount: the parts of each candidate, and which are right."""

    name: str
    text: str
    offered: list[Mapping[str, float]]
    right: list[bool]
    labels: list[str]
    gold: str = ""


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
            new = misheard([word], language, rng) if len(word) > LONG and rng.random() < share else [word]
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
            self.choices.append(Choice(self.name, text, parts, right, labels, f"{item.value} {item.unit} {item.of}"))
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
            self._add(text, offered, right, f"{row['value']} {row['unit']} {row.get('of')}")

    def _add(self, text: str, offered: Sequence[Any], right: list[bool], gold: str = "") -> None:
        labels = [f"{link.of}/{link.row.id if link.row else ''}" for link in offered]
        self.choices.append(Choice(self.name, text, [link.parts for link in offered], right, labels, gold))


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
