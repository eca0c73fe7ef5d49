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
        for k in range(n - 1, max(-1, n - 4), -1):
            old_first, old_last, old = made[k]
            if first - old_last > _CORRECT_WORDS:
                break
            if not _comparable(old, measurement) or _values(old) == _values(measurement):
                continue
            if _takes_back(scene, old_last, first):
                made[n] = (first, last, measurement.evolve(corrects=old.id))
                for j in range(k, max(-1, k - 3), -1):
                    same = made[j]
                    if j == k or (
                        _values(same[2]) == _values(old)
                        and _comparable(same[2], old)
                        and scene.clauses_between(same[0], old_first) == 0
                    ):
                        made[j] = (same[0], same[1], same[2].evolve(status="retracted", role=same[2].role or measurement.role))
            break
    return made


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
        for _, _, old in reversed(made):
            if measurement.start_ms - old.end_ms > _ECHO_MS:
                break
            if (
                _comparable(old, measurement)
                and _values(old) == _values(measurement)
                and old.status == measurement.status
                and (old.role == measurement.role or None in (old.role, measurement.role))
            ):
                measurement = measurement.evolve(
                    echo_of=old.echo_of or old.id,
                    role=old.role if measurement.role is None else measurement.role,
                )
                break
        made.append((first, last, measurement))
    return made


def sums(scene: Scene, found: Sequence[Placed]) -> list[Placed]:
    """Link a sum to its terms, whether it is spoken after them or before; the arithmetic decides."""
    made = list(found)
    added = [(n, p) for n, p in enumerate(made) if p[2].role == "added" and p[2].value is not None]
    for n, (first, last, whole) in enumerate(made):
        if (
            whole.value is None
            or whole.role in ("added", "measured")
            or whole.status == "retracted"
            or whole.echo_of
        ):
            continue
        terms = _terms(made, added, n)
        if terms is not None:
            made[n] = (first, last, whole.evolve(sum_of=terms))
    return made


def _terms(made: Sequence[Placed], added: Sequence[tuple[int, Placed]], n: int) -> tuple[str, ...] | None:
    whole = made[n][2]
    best: tuple[int, tuple[str, ...]] | None = None
    for k, (_, _, addend) in added:
        if (
            addend.unit != whole.unit
            or abs(addend.start_ms - whole.start_ms) > _SUM_MS
            or addend.status == "retracted"
        ):
            continue
        for j, (_, _, base) in enumerate(made):
            if j in (n, k) or base.value is None or base.unit != whole.unit or base.role == "added":
                continue
            if base.status == "retracted" or base.echo_of or abs(base.start_ms - addend.start_ms) > _SUM_MS:
                continue
            assert addend.value is not None and whole.value is not None
            if base.quantity in ("size", "distance") and math.isclose(
                base.value + addend.value, whole.value, abs_tol=_CLOSE
            ):
                far = abs(base.start_ms - whole.start_ms) + abs(addend.start_ms - whole.start_ms)
                if best is None or far < best[0]:
                    best = (far, (base.id, addend.echo_of or addend.id))
    return best[1] if best else None


__all__ = ["Placed", "correct", "echo", "sums"]
