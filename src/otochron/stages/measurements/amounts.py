"""A number with its unit, and the list of them: the steps are told in ``read_amounts``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from otochron.stages.measurements.cues import Cue, Cues
from otochron.text.number_words import atom
from otochron.text.numbers import Number, read_numbers
from otochron.text.stream import Word

CLOCK = "{clock}"
LENGTHS = frozenset({"mm", "cm", "um"})
_THOUSAND = 1000
_GAUGE_FROM = 12
_GROWN = 20
_TAIL_SHARES = (0.25, 0.75)


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit: words ``first`` to ``last`` (half-open). A range has bounds and no readings."""

    first: int
    last: int
    readings: tuple[float, ...]
    unit: str | None = None
    quantity: str = ""
    low: float | None = None
    high: float | None = None
    approximate: bool = False
    decimal: bool = False
    weak: bool = False
    part: int = 0
    """1 for the first number of a product, 2 for a later one."""
    partner: int | None = None
    """Index of the first amount of the product this one belongs to."""
    said_unit: bool = False
    sure_clock: bool = False
    """Said with "o'clock", which no span of time is."""

    @property
    def value(self) -> float | None:
        """The first reading, or None for a range."""
        return self.readings[0] if self.readings else None


def is_name(amount: Amount, cues: Cues, start: int) -> bool:
    """Tell a number that names something ("day ten", "grade two") or is an age: it is none of our sizes.

    ``start`` is the first word of the clause: a name stands in one clause with its number.
    """
    if amount.unit == "a" and (cues.at("age-after", amount.last) or cues.ending("age-before", amount.first)):
        return True
    if amount.said_unit:
        return amount.unit == "a" and _is_age(amount, cues)
    named = cues.ending("number-name", amount.first, 3)
    return cues.at("number-name-after", amount.last) is not None or (named is not None and named.first >= start)


def _is_age(amount: Amount, cues: Cues) -> bool:
    """Tell an age, "monsieur cinquante-trois ans", from a span of time, which something leads or closes."""
    if (amount.value or 0) < _GROWN:
        return False
    before = cues.inside("span-lead", max(0, amount.first - 4), amount.first)
    return not before and cues.at("span-close", amount.last) is None


def with_units(words: Sequence[Word], cues: Cues) -> list[Amount]:
    """Give the numbers of a stream with the units right after them."""
    units = _units(words, cues)
    inside = {n for cue in units.values() for n in range(cue.first, cue.last)}
    numbers = read_numbers(words)
    starts = {number.first: number for number in numbers}
    found: list[Amount] = []
    taken = 0
    for number in numbers:
        if number.first < taken or number.kind in ("ordinal", "name", "tail"):
            continue
        if number.first in inside and not _ratio_before(number, cues):
            continue
        unit = None if number.kind == "ratio" else _unit_after(words, number, units, cues)
        if unit is not None and _is_idiom(words, number, unit):
            taken = unit.last
            continue
        amount = _amount(number, unit)
        if unit is None and number.kind == "fraction" and _is_share(number, cues):
            amount = replace(amount, unit="1", quantity="ratio", said_unit=True, weak=False)
        if unit is not None:
            amount = _with_decimals_after_unit(words, amount, starts.get(unit.last), units, cues)
        taken = amount.last
        found.append(amount)
    return _cents(found, cues)


def _is_share(number: Number, cues: Cues) -> bool:
    """Tell a share of a thing, "two thirds of the drum": it needs no unit."""
    of = cues.at("dimension-word", number.last)
    return of is not None and of.value == "share"


def _units(words: Sequence[Word], cues: Cues) -> dict[int, Cue]:
    units = {cue.first: cue for cue in cues.all("unit")}
    for cue in cues.all("unit-sign"):
        if cue.first and words[cue.first - 1].text[-1].isdigit() and words[cue.first - 1].mark == "":
            units.setdefault(cue.first, cue)
    return units


def _amount(number: Number, unit: Cue | None) -> Amount:
    amount = Amount(
        number.first,
        number.last,
        number.readings,
        decimal=number.decimal,
        weak=number.weak,
        approximate=number.kind == "collective",
    )
    if number.kind == "ratio":
        return replace(amount, unit="1", quantity="ratio", said_unit=True)
    if unit is None:
        return amount
    if number.kind == "fraction" and unit.value == "h":  # "une demi-heure"
        amount = replace(amount, readings=tuple(round(r * 60, 6) for r in amount.readings))
        unit = replace(unit, value="min")
    return replace(amount, last=unit.last, unit=unit.value, quantity=unit.quantity, said_unit=True)


def _is_idiom(words: Sequence[Word], number: Number, unit: Cue) -> bool:
    """Tell "a second", "un jour", "twice a day", which measure nothing."""
    here = atom(words[number.first])
    return number.weak and here is not None and here.article and unit.value in ("s", "d")


def _ratio_before(number: Number, cues: Cues) -> bool:
    """Tell whether a number reaches further than the unit it begins in: "un pour cent mille"."""
    return number.value >= _THOUSAND and cues.ending("ratio-join", number.first, 2) is not None


def _unit_after(words: Sequence[Word], number: Number, units: dict[int, Cue], cues: Cues) -> Cue | None:
    place = number.last
    if place >= len(words) or words[place - 1].mark == ".":
        return None
    if number.kind in ("fraction", "collective"):
        join = cues.at("fraction-join", place)
        place = join.last if join is not None else place
        here = atom(words[place]) if join is not None and place < len(words) else None
        place += here is not None and here.article  # "a quarter of a millimetre"
    filler = cues.at("filler", place)
    unit = units.get(place) or (units.get(filler.last) if filler is not None else None)
    return unit if unit is not None and _goes_with(words, number, unit) else None


def _goes_with(words: Sequence[Word], number: Number, unit: Cue) -> bool:
    """Refuse a needle of gauge 0.7, the "cent" of "un pour cent mille", and "j huit, day eight"."""
    if unit.value == "{gauge}":
        return not number.decimal and number.value >= _GAUGE_FROM
    if unit.value == "d":
        return words[number.last - 1].language == words[unit.first].language
    if unit.value == "%" and any((a := atom(words[n])) and a.hundred for n in range(unit.first, unit.last)):
        after = atom(words[unit.last]) if unit.last < len(words) else None
        return after is None or after.scale is None
    return True


def _with_decimals_after_unit(
    words: Sequence[Word], amount: Amount, tail: Number | None, units: dict[int, Cue], cues: Cues
) -> Amount:
    """Read "un millimètre et demi", "quatre millimètres vingt-cinq", "un millimètre cinq"."""
    value = amount.value
    if tail is None or value is None or words[amount.last - 1].mark == ".":
        return amount
    if tail.kind == "tail" or (tail.kind == "fraction" and tail.value in _TAIL_SHARES and not tail.weak):
        return replace(amount, last=tail.last, readings=(round(value + tail.value, 6),), decimal=True)
    if _is_decimals(words, amount, tail) and not _belongs_elsewhere(words, tail, units, cues):
        decimals = tail.value / (10 if tail.value < 10 else 100)
        return replace(amount, last=tail.last, readings=(round(value + decimals, 4),), decimal=True)
    return amount


def _is_decimals(words: Sequence[Word], amount: Amount, tail: Number) -> bool:
    """Tell whether a number after a unit may be its decimals: small and whole, in the same breath and language."""
    whole = tail.kind == "cardinal" and not tail.weak and not tail.decimal and len(tail.readings) == 1
    if not whole or amount.unit not in LENGTHS or amount.value != int(amount.value or 0) or not 0 < tail.value < 100:
        return False
    tongues = {a.language for n in (tail.first, amount.first) if (a := atom(words[n])) and not a.shared}
    return len(tongues) <= 1 and words[tail.first].language == words[amount.last - 1].language


def _belongs_elsewhere(words: Sequence[Word], tail: Number, units: dict[int, Cue], cues: Cues) -> bool:
    """Tell whether the number after a unit has a unit, a partner or a noun of its own."""
    after = tail.last
    if words[tail.first - 1].mark or after in units:
        return True
    if any(cues.at(role, after) for role in ("product-join", "range-join", "or-join")):
        return True
    if after >= len(words) or words[after - 1].mark:
        return False
    return words[after].key.endswith(("s", "x")) and len(words[after].key) > 3


def _cents(found: list[Amount], cues: Cues) -> list[Amount]:
    """Read "quatre vingt-cinq plus vingt-cinq": the second is hundredths if the first is."""
    made: list[Amount] = []
    for amount in found:
        before = made[-1] if made else None
        made.append(amount)
        plus = cues.ending("role-plus", amount.first)
        if plus is None or before is None or before.last != plus.first or amount.unit is not None:
            continue
        value = amount.value
        if value is None or len(amount.readings) > 1 or value != int(value) or not 10 <= value < 100:
            continue
        if before.decimal or len(before.readings) > 1:
            made[-1] = replace(amount, readings=(value, value / 100))
    return made
