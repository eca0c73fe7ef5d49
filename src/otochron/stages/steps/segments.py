"""From the best path to stretches of one step each, and what each holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from otochron.stages.steps.knowledge import Matrix
from otochron.stages.steps.units import Unit

_SHOWN = 0.25
"""A stretch in which the step never has this share of the best step's evidence shows nothing."""


@dataclass(frozen=True)
class Stretch:
    """Units ``first`` to ``last`` (half-open) of one step (its column)."""

    first: int
    last: int
    column: int


def stretches(path: Sequence[int]) -> list[Stretch]:
    """Join runs of one label.

    >>> stretches([4, 4, 7])
    [Stretch(first=0, last=2, column=4), Stretch(first=2, last=3, column=7)]
    """
    found: list[Stretch] = []
    for n, column in enumerate(path):
        if found and found[-1].column == column:
            found[-1] = Stretch(found[-1].first, n + 1, column)
        else:
            found.append(Stretch(n, n + 1, column))
    return found


def shown(path: Sequence[int], shares: Matrix, none: int) -> list[int]:
    """Take back the stretches that no unit shows: the order alone makes no step.

    They go to the step before, which was being done until something else was said.
    """
    found = list(path)
    for part in stretches(path):
        own = shares[part.first : part.last]
        if part.column != none and (own[:, part.column] / own.max(1)).max() < _SHOWN:
            before = found[part.first - 1] if part.first else none
            found[part.first : part.last] = [before] * (part.last - part.first)
    return found


def best_units(part: Stretch, shares: Matrix, most: int = 4) -> list[int]:
    """Give the units that show the step best, in spoken order; at least one."""
    own = shares[part.first : part.last, part.column]
    ranked = sorted(range(len(own)), key=lambda n: (-float(own[n]), n))
    kept = [n for n in ranked[:most] if own[n] >= 0.5 * own[ranked[0]] or own[n] >= 0.3]
    return [part.first + n for n in sorted(kept)]


def spoken_units(units: Sequence[Unit], part: Stretch) -> Sequence[Unit]:
    """Give the units of a stretch."""
    return units[part.first : part.last]
