"""From numbers and units to amounts: ranges, products, ratios, bounds, clock positions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from otochron.stages.measurements.cues import Cue, Cues
from otochron.text.number_words import atom
from otochron.text.numbers import Number, read_numbers
from otochron.text.stream import Word

CLOCK = "{clock}"
LENGTHS = frozenset({"mm", "cm", "um"})
_THOUSAND = 1000
_GAUGE_FROM = 12
_HOURS = 12
_FAR_APART = 20


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit: words ``first`` to ``last`` (half-open); numbers alone end at ``number_last``."""

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


def read_amounts(words: Sequence[Word], cues: Cues) -> list[Amount]:
    """Find the amounts of a stream, in order. Those without a unit are kept: what is measured may decide."""
    units = _units(words, cues)
    found = _with_units(words, read_numbers(words), units, cues)
    found = _cents(words, found, cues)
    found = _clock(words, found, cues)
    found = _ratios(words, found, cues)
    found = _ranges(words, found, cues)
    found = _bounds(words, found, cues)
    found = _products(words, found, cues)
    return [a for a in found if not (a.weak and not a.said_unit)]


# --- units -------------------------------------------------------------------------------------------------


def _units(words: Sequence[Word], cues: Cues) -> dict[int, Cue]:
    units = {cue.first: cue for cue in cues.all("unit")}
    for cue in cues.all("unit-sign"):
        if cue.first and words[cue.first - 1].text[-1].isdigit() and words[cue.first - 1].mark == "":
            units.setdefault(cue.first, cue)
    return units


def _with_units(
    words: Sequence[Word], numbers: list[Number], units: dict[int, Cue], cues: Cues
) -> list[Amount]:
    inside_units = {n for cue in units.values() for n in range(cue.first, cue.last)}
    starts = {number.first: number for number in numbers}
    found: list[Amount] = []
    taken = 0
    for number in numbers:
        if number.first < taken or number.kind in ("ordinal", "name", "tail"):
            continue
        if number.first in inside_units and not _ratio_before(number, cues):
            continue
        amount = Amount(
            number.first,
            number.last,
            number.readings,
            decimal=number.decimal,
            weak=number.weak,
            approximate=number.kind == "collective",
        )
        if number.kind == "ratio":
            found.append(replace(amount, unit="1", quantity="ratio", said_unit=True))
            continue
        unit = _unit_after(words, number, units, cues)
        if unit is not None and unit.value == "d" and words[number.last - 1].language != words[unit.first].language:
            unit = None  # "j huit, day eight"
        if unit is not None and _idiom(words, number, unit):
            taken = unit.last
            continue
        if unit is not None and number.kind == "fraction" and unit.value == "h":
            amount = replace(amount, readings=tuple(round(r * 60, 6) for r in amount.readings))
            unit = replace(unit, value="min")
        if unit is not None:
            amount = replace(amount, last=unit.last, unit=unit.value, quantity=unit.quantity, said_unit=True)
            amount = _with_decimals_after_unit(words, amount, starts.get(unit.last), units, cues)
        taken = amount.last
        found.append(amount)
    return found


def _idiom(words: Sequence[Word], number: Number, unit: Cue) -> bool:
    """ "a second", "un jour", "twice a day" measure nothing."""
    here = atom(words[number.first])
    return number.weak and here is not None and here.article and unit.value in ("s", "d")


def _ratio_before(number: Number, cues: Cues) -> bool:
    """ "un pour cent mille": the number reaches further than the unit "pour cent"."""
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
    if place not in units and filler is not None:
        place = filler.last
    unit = units.get(place)
    if unit is None:
        return None
    if unit.value == "{gauge}" and (number.decimal or number.value < _GAUGE_FROM):
        return None
    swallowed = any((a := atom(words[n])) and a.hundred for n in range(unit.first, unit.last))
    after = atom(words[unit.last]) if unit.last < len(words) else None
    if swallowed and unit.value == "%" and after is not None and after.scale is not None:
        return None  # "un pour cent mille" is a ratio
    return unit


def _with_decimals_after_unit(
    words: Sequence[Word], amount: Amount, tail: Number | None, units: dict[int, Cue], cues: Cues
) -> Amount:
    """Read "un millimètre et demi", "quatre millimètres vingt-cinq", "un millimètre cinq"."""
    value = amount.value
    if tail is None or value is None or words[amount.last - 1].mark == ".":
        return amount
    if tail.kind == "tail" or (tail.kind == "fraction" and tail.value in (0.25, 0.75) and not tail.weak):
        return replace(amount, last=tail.last, readings=(round(value + tail.value, 6),), decimal=True)
    plain = tail.kind == "cardinal" and not tail.weak and not tail.decimal and tail.value == int(tail.value)
    if not plain or amount.unit not in LENGTHS or value != int(value) or not 0 < tail.value < 100:
        return amount
    after = tail.last
    if (
        words[tail.first - 1].mark
        or after in units
        or any(cues.at(role, after) for role in ("product-join", "range-join", "or-join"))
    ):
        return amount
    tongues = {a.language for n in (tail.first, amount.first) if (a := atom(words[n])) and not a.shared}
    if len(tongues) > 1 or words[tail.first].language != words[amount.last - 1].language:
        return amount
    if after < len(words) and words[after - 1].mark == "" and _counts_what_follows(words, after):
        return amount
    if len(tail.readings) > 1:
        return amount
    decimals = tail.value / (10 if tail.value < 10 else 100)
    return replace(amount, last=tail.last, readings=(round(value + decimals, 4),), decimal=True)


def _counts_what_follows(words: Sequence[Word], place: int) -> bool:
    """A plural noun after the second number makes it a count: "deux millimètres trois points"."""
    return words[place].key.endswith(("s", "x")) and len(words[place].key) > 3


def _cents(words: Sequence[Word], found: list[Amount], cues: Cues) -> list[Amount]:
    """Read "quatre vingt-cinq plus vingt-cinq": the second is hundredths if the first is."""
    made: list[Amount] = []
    for amount in found:
        value, before = amount.value, made[-1] if made else None
        plus = cues.ending("role-plus", amount.first)
        if (
            plus is not None
            and before is not None
            and before.last == plus.first
            and (before.decimal or len(before.readings) > 1)
            and amount.unit is None
            and len(amount.readings) == 1
            and value is not None
            and value == int(value)
            and 10 <= value < 100
        ):
            amount = replace(amount, readings=(value, value / 100))
        made.append(amount)
    return made


# --- clock positions ---------------------------------------------------------------------------------------


def _clock(words: Sequence[Word], found: list[Amount], cues: Cues) -> list[Amount]:
    """Turn "à six heures", "six o'clock", "midi" into positions on the drum."""
    made: list[Amount] = []
    for amount in found:
        value = amount.value
        on_dial = value is not None and 1 <= value <= 12 and value * 2 == int(value * 2)
        if amount.unit == CLOCK:
            amount = replace(amount, sure_clock=True)
        if amount.unit == "h" and on_dial and _is_place(words, amount, cues):
            amount = replace(amount, unit=CLOCK, quantity="clock", weak=False)
        made.append(amount)
    for cue in cues.all("clock-noon"):
        if cues.ending("clock-preposition", cue.first) and not _near_time(cue.first, cue.last, cues):
            made.append(Amount(cue.first, cue.last, (12.0,), CLOCK, "clock", said_unit=True))
    return sorted((a for a in made if not (a.unit == "h" and _near_time(a.first, a.last, cues, "clock-hour"))), key=lambda a: a.first)


def _is_place(words: Sequence[Word], amount: Amount, cues: Cues) -> bool:
    return cues.ending("clock-preposition", amount.first) is not None and not _near_time(
        amount.first, amount.last, cues
    )


def _near_time(first: int, last: int, cues: Cues, role: str = "clock-not") -> bool:
    before = cues.inside(role, max(0, first - 4), first)
    after = cues.inside(role, last, last + 4)
    return any(c.last >= first - 1 for c in before) or any(c.first <= last for c in after)


# --- ratios ------------------------------------------------------------------------------------------------


def _ratios(words: Sequence[Word], found: list[Amount], cues: Cues) -> list[Amount]:
    """Join "one in a hundred thousand", "un pour deux cent mille", "one to fifty thousand"."""
    made: list[Amount] = []
    skip = False
    for n, amount in enumerate(found):
        if skip:
            skip = False
            continue
        two = found[n + 1] if n + 1 < len(found) else None
        if (
            two is not None
            and amount.value
            and two.value
            and amount.unit is None
            and two.first - amount.last in (1, 2)
        ):
            join = cues.at("ratio-join", amount.last)
            if join is None and amount.value == 1:
                join = cues.at("range-join", amount.last)
            if join is not None and join.last == two.first and two.value >= _THOUSAND and amount.value < 100:
                parts, rest = _round_part(words, two)
                made.append(
                    Amount(
                        amount.first,
                        parts.last,
                        (amount.value / (parts.value or 1),),
                        "1",
                        "ratio",
                        said_unit=True,
                    )
                )
                made += rest
                skip = True
                continue
        made.append(amount)
    return made


def _round_part(words: Sequence[Word], amount: Amount) -> tuple[Amount, list[Amount]]:
    """Part "deux cent mille quatre (millilitres)" after the thousand: a ratio is a round number."""
    value = amount.value or 0
    if value % _THOUSAND == 0:
        return amount, []
    end = max(
        (n + 1 for n in range(amount.first, amount.last) if (a := atom(words[n])) and a.scale),
        default=amount.last,
    )
    head = read_numbers(words[amount.first : end])
    rest = read_numbers(words[end : amount.last])
    if len(head) != 1 or len(rest) != 1:
        return amount, []
    parts = replace(amount, last=end, readings=head[0].readings, unit=None)
    return parts, [
        replace(
            amount,
            first=end + rest[0].first,
            readings=rest[0].readings,
            weak=rest[0].weak,
            decimal=rest[0].decimal,
        )
    ]


# --- ranges, bounds, products --------------------------------------------------------------------------------


def _shared(one: Amount, two: Amount) -> tuple[Amount, Amount] | None:
    """Give both amounts the unit that only the second has; None if the units do not go together."""
    if one.unit == two.unit:
        return one, two
    if one.unit is None and two.unit is not None:
        on_dial = one.value is not None and 1 <= one.value <= 12
        if two.unit == CLOCK and not on_dial:
            return None
        return replace(one, unit=two.unit, quantity=two.quantity, said_unit=True), two
    return None


def _ranges(words: Sequence[Word], found: list[Amount], cues: Cues) -> list[Amount]:
    """Join "between four and four and a half", "six to twelve", "deux ou trois", "a millimetre or two", "4-5"."""
    made: list[Amount] = []
    for amount in found:
        joined = _range(words, made[-1], amount, cues) if made else None
        if joined is not None:
            made[-1] = joined
        else:
            made.append(amount)
    return made


def _range(words: Sequence[Word], one: Amount, two: Amount, cues: Cues) -> Amount | None:
    if one.value is None or two.value is None or not 0 <= two.first - one.last <= 3:
        return None
    if two.first > one.last and words[one.last - 1].mark == ".":
        return None
    how = _joint(words, one, two, cues)
    if how == "":
        return None
    both = _shared(one, two)
    if both is None and how == "or" and one.unit is not None and two.unit is None and one.unit != CLOCK:
        both = (
            one,
            replace(two, unit=one.unit, quantity=one.quantity, said_unit=True),
        )  # "a millimetre or two"
    if both is None and one.quantity == two.quantity == "time" and one.unit and two.unit:
        from otochron.stages.measurements.bands import convert

        high = convert(two.value, two.unit, one.unit)
        both = (one, replace(two, unit=one.unit, readings=(round(high, 6),))) if high is not None else None
    if both is None:
        return None
    one, two = both
    low, high = one.value, two.value
    if low is not None and high is not None and len(one.readings) + len(two.readings) > 2:
        # "between four and a half and four seventy-five": the readings that lie side by side
        pairs = [(b - a, a, b) for a in one.readings for b in two.readings if b > a]
        _, low, high = min(pairs, default=(0.0, low, high))
    dial = two.unit == CLOCK or (two.unit is None and how == "to" and low is not None and low == _HOURS)
    if low is None or high is None or (low >= high and not dial):
        return None
    if how == "to" and high > _FAR_APART * max(low, 1.0):
        return None
    if how == "next" and (one.unit is None or high - low > max(1.0, low * 0.5)):
        return None
    if one.unit is None and how != "between":
        whole = low == int(low) and high == int(high) and low <= _HOURS and high <= _HOURS
        if how == "next" or (how == "to" and not whole):
            return None
        return replace(one, last=two.last, readings=(), low=low, high=high, approximate=how == "or")
    return Amount(
        one.first,
        two.last,
        (),
        two.unit,
        two.quantity,
        low,
        high,
        sure_clock=one.sure_clock or two.sure_clock,
        approximate=how in ("or", "next") or one.approximate,
        decimal=one.decimal or two.decimal,
        said_unit=two.said_unit,
    )


def _joint(words: Sequence[Word], one: Amount, two: Amount, cues: Cues) -> str:
    """Tell what joins two amounts: ``between``, ``to``, ``or``, ``next`` (side by side), or nothing."""
    between = cues.at("range-join-both", one.last)
    if between is not None and between.last == two.first and cues.ending("range-open", one.first):
        return "between"
    join = cues.at("range-join", one.last)
    if join is not None and join.last == two.first:
        return "to"
    choice = cues.at("or-join", one.last)
    if choice is not None and choice.last == two.first:
        return "or"
    if one.last == two.first and words[one.last - 1].mark == "" and one.unit is None:
        here = atom(words[one.first])
        if one.weak and here is not None and here.digit is None:
            return ""  # "a two millimetre burr"
        same_tongue = words[one.last - 1].language == words[two.first].language
        return "to" if words[two.first].glued else "next" if same_tongue else ""
    return ""


def _bounds(words: Sequence[Word], found: list[Amount], cues: Cues) -> list[Amount]:
    """Read "about", "less than", "at least" before an amount, and "or so", "maximum" after it."""
    made: list[Amount] = []
    for amount in found:
        about = cues.ending("amount-about", amount.first) or cues.at("amount-about-after", amount.last)
        if about is not None:
            amount = replace(amount, approximate=True)
        value = amount.value
        if value is not None and amount.unit is not None and len(amount.readings) == 1:
            least = cues.ending("amount-at-least", amount.first) or cues.at(
                "amount-at-least-after", amount.last
            )
            most = cues.ending("amount-at-most", amount.first) or cues.at("amount-at-most-after", amount.last)
            if most is not None:
                amount = replace(amount, high=value)
            elif least is not None:
                amount = replace(amount, low=value)
        made.append(amount)
    return made


def _products(words: Sequence[Word], found: list[Amount], cues: Cues) -> list[Amount]:
    """Join "twelve by ten millimetres", "vingt millimètres sur quinze", "point six by four and a half"."""
    made = list(found)
    for n, (one, two) in enumerate(pairwise(found)):
        one = made[n]
        join = cues.at("product-join", one.last)
        if join is None or join.last != two.first or words[one.last - 1].mark == ".":
            continue
        if two.weak and two.unit is None and (one.weak or _is_article(words, two)):
            continue  # "one by one", "sur un endoste"
        unit, quantity = (two.unit, two.quantity) if one.unit is None else (one.unit, one.quantity)
        said = one.said_unit or two.said_unit
        if one.unit is None:
            made[n] = one = replace(one, unit=unit, quantity=quantity, said_unit=said, weak=False)
        first = n if one.partner is None else one.partner
        made[n] = replace(one, partner=first, weak=False, part=one.part or 1)
        made[n + 1] = replace(
            two,
            unit=two.unit or unit,
            quantity=two.quantity or quantity,
            said_unit=said,
            partner=first,
            part=2,
            weak=False,
        )
    return made


def _is_article(words: Sequence[Word], amount: Amount) -> bool:
    """Tell whether "un" or "a" is followed by what it belongs to."""
    here = atom(words[amount.first])
    ends = amount.last >= len(words) or words[amount.last - 1].mark != ""
    return here is not None and here.article and not ends


def is_name(amount: Amount, cues: Cues, start: int) -> bool:
    """Tell a number that names something ("day ten", "grade two") or is an age: it is none of our sizes.

    ``start`` is the first word of the clause: a name stands in one clause with its number.
    """
    if amount.unit == "a" and (cues.at("age-after", amount.last) or cues.ending("age-before", amount.first)):
        return True
    named = cues.ending("number-name", amount.first, 3)
    return not amount.said_unit and named is not None and named.first >= start
