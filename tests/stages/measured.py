"""Score measurements on the narrations against ``measurements_gold.jsonl``.

Run: ``PYTHONPATH=src:tests python tests/stages/measured.py``. Narrations with an even number are for tuning,
those with an odd number are kept apart for the report. Annotated by reading, before the program was run on them;
several names in ``of`` are equally right, a missing ``role`` or ``status`` is not scored.
"""

from __future__ import annotations

import json
import math
import random
import sys
from collections import Counter
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from build_samples import Heard, duration
from otochron.lexicon import Lexicon, load
from otochron.model import Measurement, Record
from otochron.readers import read_bytes
from otochron.score.places import Terms
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.stages.measurements import read_measurements
from otochron.stages.mentions import find_mentions
from otochron.stages.status import read_status
from sample_formats import segments
from script import read_script

GOLD = Path(__file__).parent / "measurements_gold.jsonl"
NARRATIONS = Path(__file__).parent.parent / "narrations"
_BEFORE_MS, _AFTER_MS = 200, 50

Times = list[tuple[str, int, int]]


def is_tune(name: str) -> bool:
    """Tell a narration of the tuning half: its number is even."""
    return int(name[1:3]) % 2 == 0


def read_narration(name: str, lexicon: Lexicon) -> tuple[Record, Times]:
    """Give the record of one narration up to its statuses, and the text and times of its statements."""
    heard: list[Heard] = []
    times: Times = []
    clock, rng = 1.0, random.Random(1)
    for statement in read_script(NARRATIONS / f"{name}.txt").statements:
        clock += statement.pause_before
        begin = clock
        for word in statement.words:
            heard.append(Heard(word, clock, clock + duration(word), 0.9, False))
            clock += duration(word) + 0.02
        times.append((statement.text, round(begin * 1000), round(heard[-1].end * 1000)))
        clock += 0.3 + rng.random() * 0.5
    ending, text = segments(heard, random.Random(2))
    record = read_bytes(text.encode(), f"narration.{ending}")
    for stage in (find_languages, find_clauses, find_mentions, read_measurements, read_status):
        record = stage(record, lexicon)
    return record, times


def measure(name: str, lexicon: Lexicon) -> tuple[tuple[Measurement, ...], Times]:
    """Give the measurements of one narration, and the text and times of its statements."""
    record, times = read_narration(name, lexicon)
    return record.measurements, times


def count(wanted: list[dict[str, Any]], made: list[Measurement], terms: Terms) -> Counter[str]:
    """Count what is right in one statement."""
    found: Counter[str] = Counter(gold=len(wanted), given=len(made))
    left = list(made)
    for item in wanted:
        near = [m for m in left if m.unit == item["unit"] and same_value(item["value"], m)]
        names = item["of"] if isinstance(item["of"], list) else [item["of"]]
        full = [m for m in near if any(terms.same(name, m.of) for name in names)]
        if not near:
            continue
        chosen = (full or near)[0]
        left.remove(chosen)
        found += Counter(value_unit=1, exact=bool(full), right=1)
        for key in ("role", "status"):
            if key in item:
                found += Counter({key: 1, f"{key}_right": getattr(chosen, key) == item[key]})
        if item.get("role"):
            found += Counter(played=1, played_right=chosen.role == item["role"])
    return found


def same_value(value: float | list[float], made: Measurement) -> bool:
    if isinstance(value, list):
        ends = (made.low, made.high)
        return all(a is not None and math.isclose(a, b, rel_tol=1e-6) for a, b in zip(ends, value, strict=True))
    return made.value is not None and math.isclose(made.value, value, rel_tol=1e-6, abs_tol=1e-12)


def score(tune: bool) -> Counter[str]:
    """Score one half."""
    lexicon = load()
    terms = Terms(lexicon)
    rows = [json.loads(line) for line in GOLD.read_text("utf-8").splitlines()]
    total: Counter[str] = Counter()
    for name in sorted({row["id"] for row in rows if is_tune(row["id"]) == tune}):
        found, times = measure(name, lexicon)
        for row in rows:
            if row["id"] != name:
                continue
            same = [n for n, (text, _, _) in enumerate(times) if text == row["text"]]
            if not same:
                continue  # the narration was changed since
            _, start, end = times[min(same, key=lambda n: abs(n - row["statement"]))]
            here = [m for m in found if start - _BEFORE_MS <= m.start_ms < end + _AFTER_MS]
            total += count(row["measurements"], here, terms)
    return total


def main() -> None:
    for tune in (True, False):
        n = score(tune)
        print(
            f"{'tune' if tune else 'report'}: {n['gold']} measurements, exact {n['exact'] / n['gold']:.3f}, "
            f"value and unit {n['value_unit'] / n['gold']:.3f}, roles {n['role_right'] / n['role']:.3f} "
            f"(where one is played {n['played_right'] / n['played']:.3f}), status {n['status_right'] / n['status']:.3f}, "
            f"not in gold {n['given'] - n['value_unit']}"
        )


if __name__ == "__main__":
    main()
