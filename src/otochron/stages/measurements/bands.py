"""What is measured in which unit, and how large it may be: the rows of ``lexicons/dimensions.toml``."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from otochron.lexicon import Entry, Lexicon

# Factors to a common unit per dimension: UCUM atoms that are said of the same thing.
_SCALES: tuple[dict[str, float], ...] = (
    {"um": 0.001, "mm": 1.0, "cm": 10.0, "m": 1000.0},
    {"uA": 0.001, "mA": 1.0},
    {"Hz": 1.0, "kHz": 1000.0},
    {
        "ms": 0.001,
        "s": 1.0,
        "min": 60.0,
        "h": 3600.0,
        "d": 86400.0,
        "wk": 604800.0,
        "mo": 2629800.0,
        "a": 31557600.0,
    },
    {"mJ": 0.001, "J": 1.0},
    {"uL": 0.001, "mL": 1.0, "L": 1000.0},
    {"ug": 0.000001, "mg": 0.001, "g": 1.0, "kg": 1000.0},
)
_SAME = 1e-9

BARE_DECIMAL, BARE_IN_NAME, BARE_BESIDE = 2, 3, 4
Fit = Literal["typical", "possible", "outside", "unknown"]


def convert(value: float, unit: str, to: str) -> float | None:
    """Give a value in another unit, or None if the two units measure different things.

    >>> convert(2, "cm", "mm"), convert(1, "mm", "dB")
    (20.0, None)
    """
    if unit == to:
        return value
    for scale in _SCALES:
        if unit in scale and to in scale:
            return value * scale[unit] / scale[to]
    return None


@dataclass(frozen=True, slots=True)
class Row:
    """One row: what is measured, in which dimension and unit, and its bands."""

    entry: Entry
    unit: str
    bare_unit: str
    """The unit that is meant where none is said."""
    dimension: str
    also: str
    """Another name of the dimension."""
    bare: int
    """0: the unit is always said; 1: a bare number counts; 2: only with decimals; 3: only
    inside the name of its thing; 4: only beside another of its kind."""
    strict: bool
    """Counts only where its dimension, or what it needs, is named."""
    tight: bool
    """Counts only right beside its head."""
    series: bool
    """May be said on the way to a final value."""
    counted: bool
    second: bool
    pair: str
    first: str
    kin: tuple[str, ...]
    """What the general term stands for: "the cartilage" is the tragal or the conchal one."""
    kin_seen: tuple[str, ...]
    """Where each of ``kin`` comes from: seen before, it tells which one is meant."""
    leads: tuple[str, ...]
    """The rows whose size follows from this distance."""
    hint_said: bool
    """A hint is enough only where the unit is said."""
    near: bool
    """Counts only for a head in or beside the clause, or after another of its kind."""
    made: bool
    """Made to size, like an implant."""
    fixed: bool
    """Does not change within an operation: a second value is of something else."""
    prior: float
    default_role: str

    @property
    def id(self) -> str:
        """The id of the row."""
        return self.entry.id

    def fit(self, value: float, unit: str) -> Fit:
        """Tell how a value lies to the bands."""
        here = convert(value, unit, self.unit)
        if here is None:
            return "outside"
        typical, possible = self.entry.typical, self.entry.possible
        if typical and typical[0] - _SAME <= here <= typical[1] + _SAME:
            return "typical"
        if possible:
            return "possible" if possible[0] - _SAME <= here <= possible[1] + _SAME else "outside"
        return "outside" if typical else "unknown"


class Rows:
    """All rows, by what they measure and by what points to them."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.all = [_row(entry) for entry in lexicon.of_kind("dimension")]
        self.by_id = {row.id: row for row in self.all}
        self._lexicon = lexicon
        self._of: dict[str, list[Row]] = defaultdict(list)
        self._hinted: dict[str, list[Row]] = defaultdict(list)
        for row in self.all:
            for concept in row.entry.of:
                self._of[concept].append(row)
            for concept in row.entry.targets:
                self._hinted[concept].append(row)

    def measuring(self, concept: str) -> Sequence[Row]:
        """Give the rows that measure a concept, or the nearest broader one that has rows."""
        seen = {concept}
        level = [concept]
        while level:
            rows = [row for name in level for row in self._of.get(name, ())]
            if rows:
                return rows
            level = [b for name in level if name in self._lexicon for b in self._lexicon[name].broader if b not in seen]
            seen.update(level)
        return ()

    def hinted(self, concept: str) -> Sequence[Row]:
        """Give the rows that the mention of a concept points to without being what is measured."""
        return self._hinted.get(concept, ())


def _row(entry: Entry) -> Row:
    values = entry.values
    unit = entry.unit or "1"
    return Row(
        entry=entry,
        unit=unit,
        bare_unit=str(values.get("bareunit", unit)),
        dimension=entry.dimension or "",
        also=str(values.get("also", "")),
        bare=int(str(values.get("bare", 0))),
        strict=bool(values.get("strict", False)),
        tight=bool(values.get("tight", False)),
        series=bool(values.get("series", False)),
        counted=bool(values.get("count", False)),
        second=bool(values.get("second", False)),
        pair=str(values.get("pair", "")),
        first=str(values.get("first", "")),
        kin=_words(values.get("kin", ())),
        kin_seen=_words(values.get("kin_seen", ())),
        leads=_words(values.get("leads", ())),
        hint_said=bool(values.get("hint_said", False)),
        near=bool(values.get("near", False)),
        made=bool(values.get("made", False)),
        fixed=bool(values.get("fixed", False)),
        prior=float(str(values.get("prior", 0.0))),
        default_role=str(values.get("default", "")),
    )


def _words(value: object) -> tuple[str, ...]:
    return tuple(str(v) for v in value) if isinstance(value, (tuple, list)) else ()
