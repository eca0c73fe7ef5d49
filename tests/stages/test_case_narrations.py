"""Facts of whole invented narrations against what was written down before any output was looked at.

``facts`` must be told, ``never`` must not (what was feared, denied, only thought of, of another ear or patient).
Narrations that are ``kept`` were never used to find what is missing or wrong.
"""

from __future__ import annotations

import tomllib
from fnmatch import fnmatchcase
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from build import say
from otochron.lexicon import load
from otochron.pipeline import run
from safety.facts import facts
from script import read_script

HERE = Path(__file__).parent
GOLD: dict[str, dict[str, Any]] = {
    name: gold
    for path in sorted(HERE.glob("case_gold*.toml"))
    for name, gold in tomllib.loads(path.read_text(encoding="utf-8")).items()
}
RIGHT = {False: 0.77, True: 0.63}
"""Floors of what is measured, for the narrations that were used to find gaps and for those kept apart."""
INVENTED = {False: 0, True: 2}
"""How many facts are told that must not be."""


@cache
def told(name: str) -> tuple[str, ...]:
    """The facts of one narration, one line for each of its statements."""
    script = read_script(HERE.parent / "narrations" / f"{name}.txt")
    return tuple(facts(run(say(None, *(s.text for s in script.statements)), load())))


def is_told(wanted: str, found: tuple[str, ...]) -> bool:
    """Tell whether one of the facts that a line of the gold allows is among some."""
    return any(
        fnmatchcase(fact.strip(), " ".join(words))
        for one in wanted.split(" / ")
        for words in product(*(word.split("|") for word in one.split(" ")))
        for fact in found
    )


def share(*, kept: bool, capsys: pytest.CaptureFixture[str]) -> float:
    """The share of the facts that are told, printed with what is missed."""
    wanted = missed = 0
    for name, gold in GOLD.items():
        if gold["kept"] == kept:
            lost = [fact for fact in gold["facts"] if not is_told(fact, told(name))]
            wanted, missed = wanted + len(gold["facts"]), missed + len(lost)
            with capsys.disabled():
                print(f"\n{name}: {len(gold['facts']) - len(lost)} of {len(gold['facts'])}", end="")
                if not kept:
                    print("".join(f"\n   missed {fact}" for fact in lost), end="")
    return 1 - missed / wanted


def invented(*, kept: bool) -> list[str]:
    """The facts that are told and must not be."""
    chosen = ((name, gold) for name, gold in GOLD.items() if gold["kept"] == kept)
    return [f"{name}: {line}" for name, gold in chosen for line in gold.get("never", ()) if is_told(line, told(name))]


@pytest.mark.parametrize("kept", [False, True])
def test_what_was_not_so_is_not_told(kept: bool) -> None:
    found = invented(kept=kept)
    assert len(found) <= INVENTED[kept], [] if kept else found


@pytest.mark.parametrize("kept", [False, True])
def test_facts_of_narrations(kept: bool, capsys: pytest.CaptureFixture[str]) -> None:
    assert share(kept=kept, capsys=capsys) >= RIGHT[kept]


def test_nothing_forbidden_is_told() -> None:
    wrong = [
        (name, fact) for name, gold in GOLD.items() for fact in gold.get("forbid", ()) if is_told(fact, told(name))
    ]
    assert wrong == []
