"""Floors of what was measured: amounts of narrations and of the samples, just below the figures of DEVELOPERS.md."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from measured import score

from otochron.api import extract
from otochron.lexicon import load
from otochron.readers import read_bytes
from otochron.score import read_gold, score_record
from otochron.score.gold import Gold

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def samples() -> dict[str, float]:
    """Score the samples that are not of the report set, all in one."""
    counts: dict[str, int] = {}
    for folder in sorted(p for p in SAMPLES.iterdir() if (p / "gold.json").exists()):
        gold: Gold = read_gold((folder / "gold.json").read_text("utf-8"), folder.name)
        if gold.report:
            continue
        path = next(folder.glob("transcript.*"))
        part = score_record(gold, extract(read_bytes(path.read_bytes(), path.name)), load()).parts["measurements"]
        for name, many in part.counts.items():
            counts[name] = counts.get(name, 0) + many
    return {
        "exact": counts["exact"] / counts["gold"],
        "value_unit": counts["value_unit"] / counts["gold"],
        "roles": counts["roles_right"] / counts["roles"],
    }


@pytest.mark.parametrize(("name", "floor"), [("exact", 0.925), ("value_unit", 0.97), ("roles", 0.90)])
def test_amounts_of_the_samples(name: str, floor: float) -> None:
    assert samples()[name] >= floor


@pytest.mark.parametrize(("tune", "exact", "roles"), [(True, 0.77, 0.87), (False, 0.65, 0.75)])
def test_amounts_of_the_narrations(tune: bool, exact: float, roles: float) -> None:
    n = score(tune)
    assert n["exact"] / n["gold"] >= exact
    assert n["role_right"] / n["role"] >= roles
