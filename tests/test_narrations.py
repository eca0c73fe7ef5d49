"""The training narrations: enough, varied, of several hands, none a near copy, all readable.

Each hand has its own habits and each operation its own words; what two narrations share is measured by word
n-grams. Long shared runs (8 words) would be copies: they may only be the formulas of every theatre, and few
of those.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations
from pathlib import Path

import pytest

from script import Script, read_script

HERE = Path(__file__).parent
NARRATIONS = sorted((HERE / "narrations").glob("*.txt"))
SCRIPTS = sorted((HERE / "scripts").glob("*.txt"))
FEWEST_WORDS = 80_000
LONG = 8
Gram = tuple[str, ...]


@pytest.fixture(scope="module")
def narrations() -> list[Script]:
    return [read_script(path) for path in NARRATIONS]


def words(script: Script) -> list[str]:
    return [word for statement in script.statements for word in statement.words]


def grams(script: Script, n: int) -> set[Gram]:
    """The runs of ``n`` words within a statement."""
    found: set[Gram] = set()
    for statement in script.statements:
        found.update(tuple(statement.words[i : i + n]) for i in range(len(statement.words) - n + 1))
    return found


@pytest.mark.parametrize("path", [*NARRATIONS, *SCRIPTS], ids=lambda path: path.stem)
def test_every_script_and_narration_is_readable(path: Path) -> None:
    script = read_script(path)
    assert script.words > 0
    assert script.header["procedures"]
    for statement in script.statements:
        assert statement.words, f"{path.name}, line {statement.line}: no words"
        assert set(statement.languages) <= {"en", "fr"}


@pytest.mark.parametrize("path", NARRATIONS, ids=lambda path: path.stem)
def test_narrations_hold_spoken_words_only(path: Path) -> None:
    for statement in read_script(path).statements:
        odd = [w for w in statement.words if w != w.casefold() or any(not (c.isalpha() or c in "'-") for c in w)]
        assert not odd, f"{path.name}, line {statement.line}: {odd}"


def test_there_are_enough_words_of_every_operation_and_hand(narrations: list[Script]) -> None:
    by_hand: dict[str, int] = defaultdict(int)
    by_operation: dict[str, int] = defaultdict(int)
    by_language: dict[str, int] = defaultdict(int)
    for script in narrations:
        by_hand[script.header["hand"]] += script.words
        by_operation[script.header["procedures"].split(",")[0].strip()] += script.words
        for statement in script.statements:
            for language in statement.languages:
                by_language[language] += 1
    total = sum(by_hand.values())
    print(f"\n{total} words; {dict(by_language)}\n{dict(by_hand)}\n{dict(by_operation)}")
    assert len(by_operation) >= 7
    assert len(by_hand) >= 3
    assert min(by_language.values()) >= total / 4
    assert total >= FEWEST_WORDS


def test_words_are_varied(narrations: list[Script]) -> None:
    """Type-token ratio over runs of 1000 words, so that lengths do not matter, and distinct word pairs."""
    for script in narrations:
        said = words(script)
        runs = [said[n : n + 1000] for n in range(0, max(1, len(said) - 999), 1000)]
        ratio = sum(len(set(run)) / len(run) for run in runs) / len(runs)
        pairs = grams(script, 2)
        print(f"{script.path.stem}: {len(said)} words, types {ratio:.2f}, pairs {len(pairs) / len(said):.2f}")
        assert ratio >= 0.3, script.path.name


def overlap(one: set[Gram], two: set[Gram]) -> float:
    return len(one & two) / max(1, min(len(one), len(two)))


def test_overlap_of_hands_and_operations_is_low(narrations: list[Script]) -> None:
    for name, key in (("hand", "hand"), ("operation", "procedures")):
        print()
        for n in (1, 3, 4):
            groups: dict[str, set[Gram]] = defaultdict(set)
            for script in narrations:
                groups[script.header[key].split(",")[0].strip()] |= grams(script, n)
            shares = {f"{a}/{b}": overlap(groups[a], groups[b]) for a, b in combinations(sorted(groups), 2)}
            print(
                f"{n}-grams shared by {name}s, mean {sum(shares.values()) / max(1, len(shares)):.3f}:",
                ", ".join(f"{pair} {share:.3f}" for pair, share in sorted(shares.items(), key=lambda s: -s[1])[:4]),
            )
            if n == 4:
                assert max(shares.values()) <= 0.1


def test_no_narration_is_a_near_copy(narrations: list[Script]) -> None:
    """No two narrations, and no narration and gold script, share more than a trace of runs of eight words."""
    runs = {path.stem: grams(read_script(path), LONG) for path in [*NARRATIONS, *SCRIPTS]}
    trained = {path.stem for path in NARRATIONS}
    shared = {
        (a, b): both for a, b in combinations(sorted(runs), 2) if (both := runs[a] & runs[b]) and {a, b} & trained
    }
    for (a, b), both in sorted(shared.items(), key=lambda s: -len(s[1]))[:10]:
        print(
            f"{a}, {b}: {len(both)} runs of {LONG} words:",
            " | ".join(" ".join(run) for run in sorted(both)[:3]),
        )
    for (a, b), both in shared.items():
        assert len(both) <= max(4, 0.01 * min(len(runs[a]), len(runs[b]))), f"{a} and {b} are near copies"
