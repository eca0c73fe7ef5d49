"""Denial and doubt on outside sentences: the NegEx test kit, and clinical cases of the E3C corpus.

The cue lists were made on the odd sentences and on every other document; both halves are printed, and the
floor is on all rows.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from otochron.lexicon import load
from otochron.model import Lang, Line, Record, Status
from otochron.model.parts import LanguageSpan
from otochron.stages.status import statuses
from otochron.text.normal import clean
from otochron.text.stream import words

Counts = tuple[int, int, int]


def status_in(text: str, start: int, end: int, language: Lang) -> Status:
    """Give the status of one stretch of a written sentence."""
    span = LanguageSpan(start=0, end=len(text), language=language)
    line = Line(id="line-1", start_ms=0, end_ms=1000, heard=text, text=text, languages=(span,))
    stream = words(Record(lines=(line,)))
    inside = [word.i for word in stream if word.end > start and word.start < end] or [0]
    return statuses(stream, [(0, len(stream))], [(inside[0], inside[-1] + 1, "finding")], load())[0]


def count(pairs: Iterator[tuple[bool, bool]] | list[tuple[bool, bool]]) -> Counts:
    """Count (gold, found) pairs as true positives, false positives, false negatives."""
    pairs = list(pairs)
    return (
        sum(gold and found for gold, found in pairs),
        sum(found and not gold for gold, found in pairs),
        sum(gold and not found for gold, found in pairs),
    )


def f1(counts: Counts) -> float:
    """Give F1, the harmonic mean of precision and recall (van Rijsbergen 1979)."""
    right, extra, missed = counts
    return 2 * right / max(1, 2 * right + extra + missed)


def test_negex_test_kit(outside: Path) -> None:
    """Denied findings of the NegEx sentences: F1 at least 0.93 (a six-word window: 0.91)."""
    found: dict[int, list[tuple[bool, bool]]] = {0: [], 1: []}
    with (outside / "negation" / "negex_annotations.txt").open(encoding="latin-1", newline="") as file:
        for row in csv.reader(file, delimiter="\t"):
            if len(row) < 4 or not row[0].isdigit():
                continue
            text = clean(row[2].replace("\n", " "))
            sought = r"\s+".join(re.escape(part) for part in row[1].upper().split())
            match = re.search(sought, text) or re.search(sought, text, re.I)
            if match:
                status = status_in(text, match.start(), match.end(), "en")
                found[int(row[0]) % 2].append((row[3].strip() == "Negated", status == "negated"))
    total = f1(count(found[0] + found[1]))
    print(f"NegEx: {total:.3f}; made on {f1(count(found[1])):.3f}, kept apart {f1(count(found[0])):.3f}")
    assert total >= 0.93


@pytest.mark.parametrize(("language", "floor"), [("fr", 0.88), ("en", 0.82)])
def test_clinical_cases(outside: Path, language: Lang, floor: float) -> None:
    """Denied clinical entities; what is hedged or supposed is printed only."""
    with (outside / "negation" / "clinical_events.tsv").open(encoding="utf-8", newline="") as file:
        rows = [r for r in csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE) if r["lang"] == language]
    order = {doc: n for n, doc in enumerate(sorted({row["doc"] for row in rows}))}
    denied: dict[int, list[tuple[bool, bool]]] = {0: [], 1: []}
    doubted: list[tuple[bool, bool]] = []
    for row in rows:
        if row["in_clinical_entity"] != "1":
            continue
        status = status_in(row["sentence"], int(row["start"]), int(row["end"]), language)
        denied[order[row["doc"]] % 2].append((row["polarity"] == "NEG", status == "negated"))
        hedged = row["modality"] in ("HEDGED", "HYPOTHETICAL-IF", "HYPOTHETICAL-OTHER")
        doubted.append((hedged, status in ("uncertain", "hypothetical")))
    total = f1(count(denied[0] + denied[1]))
    print(
        f"{language} denial: {total:.3f}; made on {f1(count(denied[1])):.3f}, "
        f"kept apart {f1(count(denied[0])):.3f}; doubt: {f1(count(doubted)):.3f}"
    )
    assert total >= floor
