"""Read measurements: number, unit, what is measured, and the part it plays.

Words: ``lexicons/dimensions.toml`` (what is measured, with bands), ``lexicons/cues/units.toml``,
``lexicons/cues/measuring.toml``. Numbers: ``text/numbers.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from otochron.lexicon import Lexicon
from otochron.model import Measurement, Quantity, Record
from otochron.stages.measurements.again import Placed, correct, corrects, echo, sums
from otochron.stages.measurements.amounts import CLOCK, Amount, is_name
from otochron.stages.measurements.choice import NO_SIZE, choose
from otochron.stages.measurements.heads import candidates
from otochron.stages.measurements.joined import read_amounts
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.parts import choose_role, parts_of
from otochron.stages.measurements.recent import same_as
from otochron.stages.measurements.roles import is_added
from otochron.stages.measurements.scene import Scene
from otochron.text.stream import span_of, surface, words

Watch = Callable[[Scene, Amount, Sequence[Link] | Mapping[str, float]], None]
_DURATION = "duration"
_KNOWN = 60
"""How many measurements back the part of the same size is looked for."""


def read_measurements(record: Record, lexicon: Lexicon) -> Record:
    """Add one measurement for each amount that is spoken.

    Parameters
    ----------
    record : Record
        Needs ``lines``, ``clauses`` and ``mentions``.
    lexicon : Lexicon
        Rows of kind ``dimension``, cues of measuring, units.

    Returns
    -------
    Record
        With ``measurements`` in spoken order. A number without a unit counts only where something stands
        near that is measured in one. The heard value is never changed; where two readings fit as well, both
        stand in ``readings`` and ``value`` is null.
    """
    return read_watched(record, lexicon, _ignore)


def read_watched(record: Record, lexicon: Lexicon, watch: Watch) -> Record:
    """Read measurements and let ``watch`` see what each amount might have measured: the fit learns from it."""
    stream = words(record)
    scene = Scene(record, stream, lexicon)
    amounts = read_amounts(stream, scene.cues)
    linked: list[tuple[Amount, Link]] = []
    placed: list[Placed] = []
    loose: Amount | None = None
    for amount in amounts:
        if is_name(amount, scene.cues, scene.clause_range(amount.first)[0]):
            continue
        added = is_added(scene, amount)
        offered = candidates(scene, amount, linked, added)
        chosen = choose(offered)
        watch(scene, amount, offered)
        if chosen.of == NO_SIZE:
            loose = amount
            linked.append((amount, Link(None, None, 0.0, amount.value, "")))  # it may be a term of a sum
            continue
        if chosen.of is None and amount.unit == CLOCK and not amount.sure_clock:
            continue  # a time of day
        if loose is not None and corrects(scene, loose, amount):
            same = same_as(scene, loose, chosen)
            if same is not None:
                placed.append((loose.first, loose.last, _with_role(scene, loose, same, placed, watch)))
        loose = None
        linked.append((amount, chosen))
        placed.append((amount.first, amount.last, _with_role(scene, amount, chosen, placed, watch)))
    placed = sums(echo(correct(scene, placed)))
    return record.evolve(measurements=tuple(measurement for _, _, measurement in placed))


def _ignore(scene: Scene, amount: Amount, offered: Sequence[Link] | Mapping[str, float]) -> None:
    """See nothing."""


def _with_role(scene: Scene, amount: Amount, chosen: Link, placed: Sequence[Placed], watch: Watch) -> Measurement:
    added = is_added(scene, amount)
    before = [old for _, _, old in placed[-_KNOWN:]]
    parts = parts_of(scene, amount, chosen, added, before)
    watch(scene, amount, parts)
    role = choose_role(parts)
    return _measurement(scene, amount, chosen, added).evolve(role=role)


def _measurement(scene: Scene, amount: Amount, chosen: Link, added: bool) -> Measurement:
    span = span_of(scene.words, amount.first, amount.last)
    row = chosen.row
    readings = tuple(_round(r) for r in amount.readings)
    value = None if chosen.reading is None else _round(chosen.reading)
    plausible = None
    apart = added and row is not None and row.entry.role != "added"  # a band is of the whole, not of what is added
    if row is not None and not apart and (row.entry.typical or row.entry.possible):
        values = [v for v in (value, amount.low, amount.high) if v is not None]
        fits = [row.fit(v, chosen.unit) for v in values]
        plausible = None if not fits or "unknown" in fits else "outside" not in fits
    return Measurement(
        **dict(span),
        id=f"measurement-{span.line}-{span.start}",
        surface=surface(scene.record, span),
        quantity=_quantity(amount, chosen),
        value=value,
        low=amount.low,
        high=amount.high,
        unit=chosen.unit,
        of=chosen.of,
        dimension=(row.dimension if row else None) or (_DURATION if amount.quantity == "time" else None),
        from_=row.entry.from_[0] if row and row.entry.from_ else None,
        to=row.entry.to[0] if row and row.entry.to else None,
        readings=readings if len(readings) > 1 else (),
        approximate=amount.approximate,
        plausible=plausible,
    )


def _quantity(amount: Amount, chosen: Link) -> Quantity:
    row = chosen.row
    if row is not None and row.counted:
        return "count"
    if chosen.unit == CLOCK:
        return "clock"
    if row is not None and row.dimension == "distance":
        return "distance"
    if row is not None and row.dimension == "dilution":
        return "ratio"
    if amount.quantity:
        return amount.quantity  # type: ignore[return-value]
    return _UNITS.get(chosen.unit, "size")


_UNITS: dict[str, Quantity] = {
    "mA": "level",
    "dB": "level",
    "kOhm": "level",
    "deg": "angle",
    "min": "time",
    "%": "ratio",
}


def _round(value: float) -> float:
    return float(f"{value:.10g}")
