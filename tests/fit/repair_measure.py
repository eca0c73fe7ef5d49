"""Measure the repair stage on cases with known errors: precision, recall, what was lost where, harm."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from repair_data import Case

from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.stages.repair import find_repairs
from otochron.text.number_words import is_number
from otochron.text.stream import heard_words, words


@dataclass
class Tally:
    """Counts over cases."""

    words: int = 0
    errors: int = 0
    applied: int = 0
    right: int = 0
    found: int = 0
    found_suggested: int = 0
    harmed: int = 0
    numbers_changed: int = 0
    traps_changed: int = 0
    wrong: list[str] = field(default_factory=list)
    by_kind: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))

    @property
    def precision(self) -> float:
        return self.right / max(1, self.applied)

    @property
    def recall(self) -> float:
        return self.found / max(1, self.errors)

    @property
    def recall_suggested(self) -> float:
        return self.found_suggested / max(1, self.errors)

    @property
    def harm(self) -> float:
        """Right words changed per 10,000."""
        return 1e4 * self.harmed / max(1, self.words)

    def line(self, name: str) -> str:
        """Give one line to print."""
        return (
            f"{name}: {self.errors} errors in {self.words} words; applied {self.applied}, precision "
            f"{self.precision:.3f}, recall {self.recall:.3f}, with suggestions {self.recall_suggested:.3f}; "
            f"right words changed {self.harm:.1f} per 10,000; numbers {self.numbers_changed}, "
            f"traps {self.traps_changed}"
        )


def places(record: Record) -> list[tuple[int, int, str, str, str | None]]:
    """Give repairs as first and last heard word, text, decision and concept; over a line end, as one."""
    index = {(w.line, w.start): w.i for w in heard_words(record)}
    ends = {(w.line, w.end): w.i + 1 for w in heard_words(record)}
    found: dict[str, list[tuple[int, int, str, str, str | None]]] = {}
    for r in record.repairs:
        stop = r.heard_start + len(r.heard.rstrip())
        here = (index[r.line, r.heard_start], ends[r.line, stop], r.text, r.decision, r.concept)
        found.setdefault(r.continues or r.id, []).append(here)
    return [(min(p[0] for p in ps), max(p[1] for p in ps), ps[0][2], ps[0][3], ps[0][4]) for ps in found.values()]


def measure(cases: Sequence[Case], lexicon: Lexicon) -> Tally:
    """Run the stage on cases and count."""
    tally = Tally()
    for case in cases:
        record = find_repairs(case.record, lexicon)
        tally.words += len(case.heard)
        tally.errors += len(case.errors)
        found: dict[int, str] = {}
        for first, last, text, decision, concept in places(record):
            if decision == "kept":
                continue
            right, mended = case.right(first, last, text, [concept] if concept else [])
            for n in mended:
                found[n] = "applied" if decision == "applied" else found.get(n, decision)
            if decision != "applied":
                continue
            tally.applied += 1
            tally.right += right
            touched = any(e.first < last and first < e.last for e in case.errors)
            tally.harmed += 0 if right or touched else last - first
            tally.traps_changed += sum(a < last and first < b for a, b in case.traps)
            if not right:
                said = " ".join(case.heard[first:last])
                meant = [" ".join(e.meant) for e in case.errors if e.first < last and first < e.last]
                tally.wrong.append(f"{said} -> {text} (meant {meant})")
        tally.found += sum(d == "applied" for d in found.values())
        tally.found_suggested += len(found)
        for n, error in enumerate(case.errors):
            tally.by_kind[error.kind or error.language][found.get(n, "left")] += 1
        before = [w.key for w in heard_words(record) if is_number(w)]
        after = [w.key for w in words(record) if is_number(w)]
        tally.numbers_changed += before != after
    return tally
