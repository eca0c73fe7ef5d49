"""Join amounts: clock positions, ratios, ranges, bounds, products."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from otochron.stages.measurements.amounts import CLOCK, Amount, with_units
from otochron.stages.measurements.bands import convert
from otochron.stages.measurements.cues import Cues
from otochron.text.number_words import atom
from otochron.text.numbers import read_numbers
from otochron.text.stream import Word

_THOUSAND = 1000
_HOURS = 12
_FAR_APART = 20
_LISTED = frozenset({"deg", CLOCK, "h", "mo", "wk", "d"})
_SAID_AGAIN = 60


def read_amounts(words: Sequence[Word], cues: Cues) -> list[Amount]:
    """Find the amounts of a stream, in order. Those without a unit are kept: what is measured may decide."""
    found = with_units(words, cues)
    found = _clock(_listed(found, cues), cues)
    found = _ratios(words, found, cues)
    found = _ranges(words, found, cues)
    found = [_bounded(amount, cues) for amount in found]
    found = _products(words, found, cues)
    return [a for a in found if a.said_unit or not a.weak or _is_term(a, cues)]


def _is_term(amount: Amount, cues: Cues) -> bool:
    """Tell a share that is added or taken away: "we take away a quarter"."""
    share = amount.value is not None and amount.value < 1
    return share and any(cues.ending(role, amount.first) for role in ("role-minus", "role-plus", "role-added"))


def _listed(found: list[Amount], cues: Cues) -> list[Amount]:
    """Give the numbers of a list the unit that is said once: "trente puis quarante-cinq degrés"."""
    made = list(found)
    for n in range(len(made) - 2, -1, -1):
        one, two = made[n], made[n + 1]
        join = cues.at("list-join", one.last)
        if one.unit is not None or one.weak or two.unit is None or join is None or join.last != two.first:
            continue
        if cues.ending("range-open", one.first) is None and two.unit in _LISTED:
            made[n] = replace(one, unit=two.unit, quantity=two.quantity, said_unit=True)
    return made


# --- clock positions ---------------------------------------------------------------------------------------


def _clock(found: list[Amount], cues: Cues) -> list[Amount]:
    """Turn "à six heures", "six o'clock", "midi" into positions on the drum, and drop times of day."""
    made: list[Amount] = []
    for amount in found:
        made.append(_on_the_dial(amount, cues))
        if made[-1].unit == "h" and _is_hour_again(made[:-1], made[-1], cues):
            made[-1] = replace(amount, unit=CLOCK, quantity="clock", weak=False)
    made += [
        Amount(cue.first, cue.last, (12.0,), CLOCK, "clock", said_unit=True)
        for cue in cues.all("clock-noon")
        if cues.ending("clock-preposition", cue.first) and not _near_time(cue.first, cue.last, cues, "clock-not")
    ]
    hours = [a for a in made if not (a.unit == "h" and _near_time(a.first, a.last, cues, "clock-hour"))]
    return sorted(hours, key=lambda a: a.first)


def _on_the_dial(amount: Amount, cues: Cues) -> Amount:
    value = amount.value
    if amount.unit == CLOCK:
        return replace(amount, sure_clock=True)
    on_dial = value is not None and 1 <= value <= _HOURS and value * 2 == int(value * 2)
    if amount.unit != "h" or not on_dial or not cues.ending("clock-preposition", amount.first):
        return amount
    if _near_time(amount.first, amount.last, cues, "clock-not"):
        return amount
    return replace(amount, unit=CLOCK, quantity="clock", weak=False)


def _is_hour_again(before: Sequence[Amount], amount: Amount, cues: Cues) -> bool:
    """Tell an hour that was said on the dial a moment ago, or that takes another one back."""
    if not amount.readings or _near_time(amount.first, amount.last, cues, "clock-not"):
        return False
    near = [a for a in before[-3:] if a.unit == CLOCK and amount.first - a.last <= _SAID_AGAIN]
    back = cues.ending("correction", amount.first) or cues.ending("correction-no", amount.first)
    return any(a.readings == amount.readings for a in near) or bool(near and back)


def _near_time(first: int, last: int, cues: Cues, role: str) -> bool:
    before = cues.inside(role, max(0, first - 4), first) + cues.inside(f"{role}-before", max(0, first - 4), first)
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
        if two is None or not _is_ratio(amount, two, cues):
            made.append(amount)
            continue
        parts, rest = _round_part(words, two)
        share = (amount.value or 0) / (parts.value or 1)
        made.append(Amount(amount.first, parts.last, (share,), "1", "ratio", said_unit=True))
        made += rest
        skip = True
    return made


def _is_ratio(one: Amount, two: Amount, cues: Cues) -> bool:
    if not one.value or not two.value or one.unit is not None or two.value < _THOUSAND or one.value >= 100:
        return False
    join = cues.at("ratio-join", one.last) or (cues.at("range-join", one.last) if one.value == 1 else None)
    return join is not None and join.last == two.first


def _round_part(words: Sequence[Word], amount: Amount) -> tuple[Amount, list[Amount]]:
    """Part "deux cent mille quatre (millilitres)" after the thousand: a ratio is a round number."""
    value = amount.value or 0
    if value % _THOUSAND == 0:
        return amount, []
    end = max(
        (n + 1 for n in range(amount.first, amount.last) if (a := atom(words[n])) and a.scale), default=amount.last
    )
    head = read_numbers(words[amount.first : end])
    rest = read_numbers(words[end : amount.last])
    if len(head) != 1 or len(rest) != 1:
        return amount, []
    parts = replace(amount, last=end, readings=head[0].readings, unit=None)
    first = end + rest[0].first
    return parts, [replace(amount, first=first, readings=rest[0].readings, weak=rest[0].weak, decimal=rest[0].decimal)]


# --- ranges ------------------------------------------------------------------------------------------------


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
    how = _joint(words, one, two, cues)
    both = _shared(one, two, how) if how else None
    if both is None:
        return None
    low, high = _ends(*both)
    unit = both[1].unit
    if not _is_stretch(low, high, unit, how):
        return None
    whole = low == int(low) and high == int(high) and low <= _HOURS and high <= _HOURS
    if unit is None and (how == "next" or (how == "to" and not whole)):
        return None
    return replace(
        both[0],
        last=two.last,
        readings=(),
        unit=unit,
        quantity=both[1].quantity,
        low=low,
        high=high,
        approximate=how in ("or", "next") or one.approximate,
        decimal=(one.decimal or two.decimal) if unit is not None or how == "between" else one.decimal,
        said_unit=both[1].said_unit,
        sure_clock=one.sure_clock or two.sure_clock,
        weak=False if unit is not None else one.weak,
    )


def _ends(one: Amount, two: Amount) -> tuple[float, float]:
    """Give the ends; of several readings those that lie side by side ("four and a half and four seventy-five")."""
    pairs = [(b - a, a, b) for a in one.readings for b in two.readings if b > a]
    if not pairs or len(one.readings) + len(two.readings) == 2:
        return one.readings[0], two.readings[0]
    _, low, high = min(pairs)
    return low, high


def _is_stretch(low: float, high: float, unit: str | None, how: str) -> bool:
    """Tell whether two numbers make a range: upwards, save on the dial, and not far apart."""
    dial = unit == CLOCK or (unit is None and how == "to" and low == _HOURS)
    if low >= high and not dial:
        return False
    if how == "to" and high > _FAR_APART * max(low, 1.0):
        return False
    return how != "next" or (unit is not None and high - low <= max(1.0, low * 0.5))


def _shared(one: Amount, two: Amount, how: str) -> tuple[Amount, Amount] | None:
    """Give both amounts one unit: the one that both have, that the second has, or one that goes into the other."""
    if one.unit == two.unit:
        return one, two
    if one.unit is None and two.unit is not None:
        if two.unit == CLOCK and not (one.value is not None and 1 <= one.value <= _HOURS):
            return None
        return replace(one, unit=two.unit, quantity=two.quantity, said_unit=True), two
    if two.unit is None and how == "or" and one.unit != CLOCK:  # "a millimetre or two"
        return one, replace(two, unit=one.unit, quantity=one.quantity, said_unit=True)
    if one.unit and two.unit and two.value is not None and one.quantity == two.quantity == "time":
        high = convert(two.value, two.unit, one.unit)
        return (one, replace(two, unit=one.unit, readings=(round(high, 6),))) if high is not None else None
    return None


def _joint(words: Sequence[Word], one: Amount, two: Amount, cues: Cues) -> str:
    """Tell what joins two amounts: ``between``, ``to``, ``or``, ``next`` (side by side), or nothing."""
    if two.first > one.last and words[one.last - 1].mark == ".":
        return ""
    for role, how in (("range-join-both", "between"), ("range-join", "to"), ("or-join", "or")):
        join = cues.at(role, one.last)
        if join is not None and join.last == two.first and (how != "between" or cues.ending("range-open", one.first)):
            return how
    if one.last != two.first or words[one.last - 1].mark or one.unit is not None:
        return ""
    here = atom(words[one.first])
    if one.weak and here is not None and here.digit is None:
        return ""  # "a two millimetre burr"
    if words[two.first].glued:
        return "to"
    return "next" if words[one.last - 1].language == words[two.first].language else ""


# --- bounds and products --------------------------------------------------------------------------------------


def _bounded(amount: Amount, cues: Cues) -> Amount:
    """Read "about", "less than", "at least" before an amount, and "or so", "maximum" after it."""
    if cues.ending("amount-about", amount.first) or cues.at("amount-about-after", amount.last):
        amount = replace(amount, approximate=True)
    if amount.unit is None or len(amount.readings) != 1:
        return amount
    if cues.ending("amount-at-most", amount.first) or cues.at("amount-at-most-after", amount.last):
        return replace(amount, high=amount.value)
    if cues.ending("amount-at-least", amount.first) or cues.at("amount-at-least-after", amount.last):
        return replace(amount, low=amount.value)
    return amount


def _products(words: Sequence[Word], found: list[Amount], cues: Cues) -> list[Amount]:
    """Join "twelve by ten millimetres", "vingt millimètres sur quinze", "point six by four and a half"."""
    made = list(found)
    for n, (_, two) in enumerate(pairwise(found)):
        one = made[n]
        join = cues.at("product-join", one.last)
        if join is None or join.last != two.first or words[one.last - 1].mark == ".":
            continue
        if two.weak and two.unit is None and (one.weak or _is_article(words, two)):
            continue  # "one by one", "sur un endoste"
        unit, quantity = (two.unit, two.quantity) if one.unit is None else (one.unit, one.quantity)
        said = one.said_unit or two.said_unit
        first = n if one.partner is None else one.partner
        made[n] = replace(
            one, unit=unit, quantity=quantity, said_unit=said, partner=first, weak=False, part=one.part or 1
        )
        unit, quantity = (two.unit, two.quantity) if two.unit is not None else (unit, quantity)
        made[n + 1] = replace(two, unit=unit, quantity=quantity, said_unit=said, partner=first, weak=False, part=2)
    return made


def _is_article(words: Sequence[Word], amount: Amount) -> bool:
    """Tell whether "un" or "a" is followed by what it belongs to."""
    here = atom(words[amount.first])
    ends = amount.last >= len(words) or words[amount.last - 1].mark != ""
    return here is not None and here.article and not ends
