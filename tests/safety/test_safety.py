"""Nothing that could hurt: no wrong side, no wrong size, nothing told as done that was denied, feared or planned.

The narrations are invented; the table says what of each must be told and what must not (``cases.toml``).
"""

from __future__ import annotations

import tomllib
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from build import tell
from otochron.lexicon import load
from otochron.model import Lang, Record
from otochron.writers.note import write_note
from safety.facts import facts

CASES: dict[str, dict[str, Any]] = tomllib.loads(Path(__file__).with_name("cases.toml").read_text(encoding="utf-8"))
LANGUAGES: tuple[Lang, ...] = ("en", "fr")
OTHER_SIDE: dict[str, dict[Lang, tuple[str, ...]]] = {
    "left": {"en": ("right ear",), "fr": ("oreille droite",)},
    "right": {"en": ("left ear",), "fr": ("oreille gauche",)},
}


@cache
def told(name: str) -> Record:
    """The record of one narration."""
    return tell(*CASES[name]["lines"])


def rows() -> list[Any]:
    """One parameter a narration; what is known to fail says why."""
    return [
        pytest.param(name, marks=pytest.mark.xfail(strict=True, reason=case["open"]) if "open" in case else ())
        for name, case in CASES.items()
    ]


@pytest.mark.parametrize("name", rows())
def test_the_record_tells_no_harm(name: str) -> None:
    case, found = CASES[name], facts(told(name))
    wrong = [fact for pattern in case.get("forbid", ()) for fact in found if fnmatchcase(fact, pattern)]
    missed = [p for p in case.get("expect", ()) if not any(fnmatchcase(fact, p) for fact in found)]
    assert (wrong, missed) == ([], []), found


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_note_of_every_narration_names_no_other_side(language: Lang) -> None:
    wrong = []
    for name in CASES:
        record = told(name)
        side = record.case.side.value or ""
        note = write_note(record, load(), language, "md").split("\n## ")[0].casefold()
        wrong += [(name, word) for word in OTHER_SIDE.get(side, {}).get(language, ()) if word in note]
    assert wrong == []
