"""Score the status of mentions in narrations against ``status_gold.jsonl``.

Run: ``PYTHONPATH=src:tests python tests/stages/stated.py``. Annotated from the text alone, before the program was run
on it; what could be called either is left out. Narrations with an even number tune, the others are kept apart.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from measured import Times, is_tune, read_narration

from otochron.lexicon import Lexicon, load
from otochron.model import Mention

GOLD = Path(__file__).parent / "status_gold.jsonl"


def stated(name: str, lexicon: Lexicon) -> tuple[tuple[Mention, ...], Times]:
    """Give the mentions of one narration with their statuses, and the text and times of its statements."""
    record, times = read_narration(name, lexicon)
    return record.mentions, times


def score(tune: bool, tell: bool = False) -> Counter[tuple[str, str]]:
    """Count (gold status, status made) over one half."""
    lexicon = load()
    rows = [json.loads(line) for line in GOLD.read_text("utf-8").splitlines()]
    found: Counter[tuple[str, str]] = Counter()
    for name in sorted({row["id"] for row in rows if is_tune(row["id"]) == tune}):
        mentions, times = stated(name, lexicon)
        for row in rows:
            if row["id"] != name or row["text"] not in {text for text, _, _ in times}:
                continue
            same = [n for n, (text, _, _) in enumerate(times) if text == row["text"]]
            _, start, end = times[min(same, key=lambda n: abs(n - row["statement"]))]
            here = [m for m in mentions if start - 20 <= m.start_ms < end]
            for surface, status in row["statuses"]:
                made = next((m for m in here if m.surface == surface), None)
                if made is None:
                    continue
                here.remove(made)
                if status is None:
                    continue
                found[status, made.status] += 1
                if tell and made.status != status:
                    print(f"{name[:3]} {surface} | gold {status} made {made.status} | {row['text']}")
    return found


def accuracy(found: Counter[tuple[str, str]]) -> float:
    """Give the share that is right."""
    return sum(many for (gold, made), many in found.items() if gold == made) / max(1, sum(found.values()))


def other(found: Counter[tuple[str, str]]) -> float:
    """Give the share that is right of what is not simply affirmed."""
    return accuracy(Counter({pair: many for pair, many in found.items() if pair[0] != "affirmed"}))


def main() -> None:
    for tune in (True, False):
        found = score(tune, tell=tune and "--tell" in sys.argv)
        name = "tune" if tune else "report"
        print(f"{name}: {sum(found.values())} mentions, right {accuracy(found):.3f}, not affirmed {other(found):.3f}")


if __name__ == "__main__":
    main()
