"""What an amount measures, once chosen."""

from __future__ import annotations

from dataclasses import dataclass

from otochron.stages.measurements.bands import Row
from otochron.stages.measurements.scene import Head


@dataclass(frozen=True, slots=True)
class Link:
    """What an amount measures. ``reading`` is the value that fits; None if two fit as well."""

    row: Row | None
    of: str | None
    score: float
    reading: float | None
    unit: str
    head: Head | None = None
