"""Repair on errors of real recognisers that nothing was fitted on, and on text that must stay as it is."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

sys.path.append(str(Path(__file__).parents[1] / "fit"))

from repair_data import Case, make_record, note_cases, note_rows, odd, real_cases
from repair_measure import Tally, measure

from otochron.lexicon import load
from otochron.stages.repair.place import zipf

SENTENCES = ["sentences_en.jsonl", "sentences_fr.jsonl", "sentences_mixed.jsonl"]


def plain(texts: list[str]) -> list[Case]:
    """Make cases without errors."""
    lexicon = load()
    lines = [[line for line in text.splitlines() if line.strip()] for text in texts]
    return [Case(str(n), "plain", make_record(said, lexicon), []) for n, said in enumerate(lines) if said]


def shown(name: str, tally: Tally) -> Tally:
    print("\n" + tally.line(name))
    for kind, counts in sorted(tally.by_kind.items()):
        print("   ", kind, dict(counts))
    for wrong in tally.wrong[:25]:
        print("    wrong:", wrong)
    return tally


def test_odd_sentences(outside: Path) -> None:
    tally = shown("odd sentences", measure(real_cases(outside, load(), SENTENCES, odd), load()))
    assert tally.precision >= 0.96
    assert tally.recall >= 0.62
    assert tally.numbers_changed == 0


@pytest.mark.parametrize("pattern", ["mts*.json", "FR*.json"])
def test_notes_read_aloud(outside: Path, pattern: str) -> None:
    tally = shown(pattern, measure(note_cases(outside, load(), pattern), load()))
    assert tally.numbers_changed == 0
    assert tally.precision >= 0.9 or tally.applied < 10


def test_notes_of_other_specialties_stay(outside: Path) -> None:
    tally = shown("other notes", measure(plain(note_rows(outside)[1::6]), load()))
    assert tally.harm < 1


@pytest.mark.parametrize("name", ["udhr_en.txt", "udhr_fr.txt"])
def test_declarations_stay(outside: Path, name: str) -> None:
    text = (outside / "language" / name).read_text("utf-8")
    assert shown(name, measure(plain([text]), load())).applied == 0


def test_ear_notes_stay(outside: Path) -> None:
    rows = json.loads((outside / "notes" / "ear_notes.json").read_text("utf-8"))
    tally = shown("ear notes", measure(plain([row["text"] for row in rows]), load()))
    # The notes hold misspelt terms, which repair mends: only words that a word list knows count as right.
    known = [w for w in tally.wrong if all(zipf(word) for word in w.split(" -> ")[0].split())]
    print(f"    right words changed: {1e4 * len(known) / tally.words:.1f} per 10,000")
    assert 1e4 * len(known) / tally.words <= 5
