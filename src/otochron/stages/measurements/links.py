"""What an amount measures, once chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

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
    parts: Mapping[str, float] = field(default_factory=dict, compare=False)
    """What speaks for it and against it, by name."""

    def told(self, **more: float) -> Link:
        """Give the link with more that speaks for it or against it."""
        return replace(self, parts={**self.parts, **more})
