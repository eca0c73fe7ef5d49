"""Double coding: draw a sample, give an empty coding sheet, and read filled ones back.

Agreement is Cohen's kappa (1960) for two coders and Krippendorff's alpha (nominal, any number of coders, missing
values allowed), both from the library ``nltk``, with a percentile bootstrap over recordings for the interval.
"""

from __future__ import annotations

import csv
import io
import random
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from otochron.errors import RecordError

CODED = [
    "side",
    "main_procedure",
    "approaches",
    "anaesthesia",
    "austin_kartush",
    "implant_kinds",
    "implant_length_mm",
    "implant_diameter_mm",
    "grafts",
    "complications",
    "finding_chorda_tympani",
    "finding_facial_nerve",
    "finding_malleus",
    "finding_incus",
    "finding_stapes",
    "finding_footplate",
]
"""Variables of a recording that a person codes by hand."""
SHEET = ("recording_id", "path", "stratum", "variable", "code")
_ROUNDS = 1000
_INTERVAL = 0.95

Codes = dict[tuple[str, str], str]
"""Code by recording and variable."""


def draw_sample(rows: Sequence[Mapping[str, Any]], number: int, seed: int) -> list[Mapping[str, Any]]:
    """Draw recordings, stratified by main operation: each operation in proportion, at least one of each that fits.

    Parameters
    ----------
    rows : sequence of mappings
        Rows of the recordings table.
    number : int
        How many to draw.
    seed : int
        The same seed draws the same sample.
    """
    strata: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for row in sorted(rows, key=lambda r: str(r["recording_id"])):
        strata[str(row["main_procedure"])].append(row)
    rng = random.Random(seed)
    for members in strata.values():
        rng.shuffle(members)
    number = min(number, len(rows))
    quota = {name: number * len(members) / len(rows) for name, members in strata.items()}
    taken = {name: min(len(strata[name]), int(share)) for name, share in quota.items()}
    by_rest = sorted(strata, key=lambda n: (taken[n] > 0, -(quota[n] - int(quota[n])), n))
    for name in by_rest * 2:
        if sum(taken.values()) < number and taken[name] < len(strata[name]):
            taken[name] += 1
    return [row for name in sorted(strata) for row in strata[name][: taken[name]]]


def empty_sheet(sample: Sequence[Mapping[str, Any]]) -> str:
    """Give an empty coding sheet: one row per recording and variable, the code to be filled in by a person."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(SHEET)
    for row in sample:
        writer.writerows([row["recording_id"], row["path"], row["main_procedure"], name, ""] for name in CODED)
    return text.getvalue()


def read_sheet(text: str, name: str) -> Codes:
    """Read a filled coding sheet; empty codes are left out.

    Raises
    ------
    RecordError
        If a column is missing, with the file and line.
    """
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff")))
    missing = [c for c in ("recording_id", "variable", "code") if c not in (reader.fieldnames or ())]
    if missing:
        raise RecordError(
            f"{name}, line 1",
            f"no column {missing[0]!r}",
            ", ".join(SHEET),
            "Fill in the sheet as it was drawn.",
        )
    return {
        (str(row["recording_id"]).strip(), str(row["variable"]).strip()): str(row["code"]).strip()
        for row in reader
        if (row["code"] or "").strip()
    }


def machine_codes(rows: Sequence[Mapping[str, Any]]) -> Codes:
    """Give the program's codes of the coded variables."""
    return {(str(row["recording_id"]), name): _text(row[name]) for row in rows for name in CODED}


def _text(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True)
class Agreement:
    """Agreement of two or more coders on one variable."""

    variable: str
    coders: str
    recordings: int
    same: float
    kappa: float | None
    kappa_interval: tuple[float, float] | None
    alpha: float | None
    alpha_interval: tuple[float, float] | None


def agreement(coders: Mapping[str, Codes], variable: str, seed: int = 0) -> Agreement:
    """Measure the agreement of coders on one variable, over the recordings that at least two of them coded."""
    names = list(coders)
    units = sorted({r for codes in coders.values() for r, v in codes if v == variable})
    table = [{n: coders[n][u, variable] for n in names if (u, variable) in coders[n]} for u in units]
    table = [unit for unit in table if len(unit) > 1]
    same = sum(len(set(unit.values())) == 1 for unit in table) / len(table) if table else 0.0
    both = len(names) == 2
    kappa = _statistic(table, "kappa") if both else None
    alpha = _statistic(table, "alpha")
    return Agreement(
        variable,
        " / ".join(names),
        len(table),
        same,
        kappa,
        _interval(table, "kappa", seed) if kappa is not None else None,
        alpha,
        _interval(table, "alpha", seed) if alpha is not None else None,
    )


def _statistic(table: Sequence[Mapping[str, str]], which: str) -> float | None:
    """Kappa or alpha; None where every code is the same, for which neither is defined."""
    from nltk.metrics.agreement import AnnotationTask

    if len({code for unit in table for code in unit.values()}) < 2:
        return None
    task = AnnotationTask([(coder, str(n), code) for n, unit in enumerate(table) for coder, code in unit.items()])
    return float(task.kappa() if which == "kappa" else task.alpha())


def _interval(table: Sequence[Mapping[str, str]], which: str, seed: int) -> tuple[float, float] | None:
    rng = random.Random(seed)
    found = sorted(
        value
        for _ in range(_ROUNDS)
        if (value := _statistic([table[rng.randrange(len(table))] for _ in table], which)) is not None
    )
    if not found:
        return None
    cut = (1 - _INTERVAL) / 2
    return found[int(cut * (len(found) - 1))], found[int((1 - cut) * (len(found) - 1))]
