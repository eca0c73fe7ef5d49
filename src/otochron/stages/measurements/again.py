"""The same size again: corrected, or said in the other language; and sums."""

from __future__ import annotations

import math
from collections.abc import Sequence

from otochron.model import Measurement
from otochron.stages.measurements.amounts import Amount
from otochron.stages.measurements.scene import Scene

_ECHO_MS = 20_000
_CORRECT_WORDS = 30
_SUM_MS = 90_000
_AT_ONCE = 4
_CORRECT_BEFORE = 14
_CLOSE = 1e-6

Placed = tuple[int, int, Measurement]
"""A measurement with its words ``first`` and ``last`` (half-open)."""


def correct(scene: Scene, found: Sequence[Placed]) -> list[Placed]:
    """Link what is said after "no", "sorry", "pardon" to what it corrects; that is then retracted."""
    made = list(found)
    for n in range(1, len(made)):
        first, last, measurement = made[n]
        k = _taken_back(scene, made, n)
        if k is None:
            continue
        old_first, _, old = made[k]
        made[n] = (first, last, measurement.evolve(corrects=old.id))
        for j in range(k, max(-1, k - 3), -1):
            start, end, same = made[j]
            again = _values(same) == _values(old) and _comparable(same, old)
            if j == k or (again and scene.clauses_between(start, old_first) == 0):
                made[j] = (start, end, same.evolve(status="retracted", role=same.role or measurement.role))
    return made


def _taken_back(scene: Scene, made: Sequence[Placed], n: int) -> int | None:
    """Give the place of the measurement that the ``n``-th takes back."""
    first, _, measurement = made[n]
    for k in range(n - 1, max(-1, n - 4), -1):
        _, old_last, old = made[k]
        if first - old_last > _CORRECT_WORDS:
            return None
        if _comparable(old, measurement) and _values(old) != _values(measurement):
            return k if _takes_back(scene, old_last, first) else None
    return None


def corrects(scene: Scene, one: Amount, two: Amount) -> bool:
    """Tell whether a number is taken back for the next: "four, pardon, four and a half"."""
    if one.unit is not None or two.first - one.last > _AT_ONCE:
        return False
    return any(cue.last == two.first or cue.first == one.last for cue in scene.corrections(one.last, two.first))


def _takes_back(scene: Scene, start: int, end: int) -> bool:
    """Tell whether a cue of correction stands right after the old amount or right before the new one."""
    if scene.cues.inside("retake", start, end):
        return True
    sure = scene.cues.inside("correction", start, end)
    if any(cue.first - start <= 2 for cue in sure):
        return True
    # A lone "no" takes back only right before the new number: "no water" does not.
    if end - start > _CORRECT_BEFORE:
        return False
    lone = scene.cues.inside("correction-no", start, end)
    return any(end - cue.last <= 2 for cue in sure) or any(end - cue.last <= 1 for cue in lone)


def _comparable(one: Measurement, two: Measurement) -> bool:
    return (
        one.unit == two.unit
        and one.of == two.of
        and one.dimension == two.dimension
        and (one.role == "added") == (two.role == "added")
    )


def _values(measurement: Measurement) -> tuple[float | None, float | None, float | None]:
    if measurement.value is not None:
        return measurement.value, None, None
    return None, measurement.low, measurement.high


def echo(found: Sequence[Placed]) -> list[Placed]:
    """Mark the same size said again within twenty seconds."""
    made: list[Placed] = []
    for first, last, measurement in found:
        old = _said_before(made, measurement)
        if old is None:
            made.append((first, last, measurement))
        else:
            role = old.role if measurement.role is None else measurement.role
            made.append((first, last, measurement.evolve(echo_of=old.echo_of or old.id, role=role)))
    return made


def _said_before(made: Sequence[Placed], measurement: Measurement) -> Measurement | None:
    for _, _, old in reversed(made):
        if measurement.start_ms - old.end_ms > _ECHO_MS:
            return None
        same = (
            _comparable(old, measurement) and _values(old) == _values(measurement) and old.status == measurement.status
        )
        if same and (old.role == measurement.role or None in (old.role, measurement.role)):
            return old
    return None


def sums(found: Sequence[Placed]) -> list[Placed]:
    """Link a sum to its terms, whether it is spoken after them or before; the arithmetic decides."""
    measured = [m for _, _, m in found if m.value is not None and m.status != "retracted"]
    added = [m for m in measured if m.role == "added"]
    bases = [m for m in measured if m.role != "added" and not m.echo_of and m.quantity in ("size", "distance")]
    made: list[Placed] = []
    for first, last, whole in found:
        terms = _terms(whole, bases, added) if whole in measured and not whole.echo_of else None
        made.append((first, last, whole.evolve(sum_of=terms) if terms else whole))
    return made


def _terms(whole: Measurement, bases: Sequence[Measurement], added: Sequence[Measurement]) -> tuple[str, ...] | None:
    """Give the ids of a base and an addend that make the whole; the nearest if several do."""
    if whole.role in ("added", "measured"):
        return None
    near = [a for a in added if a.unit == whole.unit and abs(a.start_ms - whole.start_ms) <= _SUM_MS]
    found = [
        (
            abs(base.start_ms - whole.start_ms) + abs(addend.start_ms - whole.start_ms),
            base.id,
            addend.echo_of or addend.id,
        )
        for addend in near
        for base in bases
        if base.id != whole.id and base.unit == whole.unit and abs(base.start_ms - addend.start_ms) <= _SUM_MS
        if math.isclose((base.value or 0) + (addend.value or 0), whole.value or 0, abs_tol=_CLOSE)
    ]
    return min(found)[1:] if found else None
