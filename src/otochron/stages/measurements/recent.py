"""What was measured a moment ago, or has a size that is named alone, offers itself again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from otochron.stages.measurements.amounts import LENGTHS, Amount
from otochron.stages.measurements.bands import Row, convert
from otochron.stages.measurements.fit import (
    MADE_KINDS,
    Offer,
    after_article,
    first_reading,
    fit,
    is_counted,
    is_made,
    is_time,
)
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.naming import name_of
from otochron.stages.measurements.roles import said_role
from otochron.stages.measurements.scene import Head, Scene

_TOPIC_KINDS = MADE_KINDS | {"landmark", "structure"}
_LONG_AGO = 1500
_RECENT_WORDS = 260
_TIGHT_WORDS = 10
_AT_ONCE = 5
_ADDENDS = 60

Known = tuple[Amount, Link]


def offers_again(scene: Scene, amount: Amount, old: Known, added: bool, addends: Sequence[float] = ()) -> list[Link]:
    """Offer what was measured a moment ago, and the size that follows from a distance.

    ``addends`` are the small sizes said since, to be added or taken away.
    """
    before, was = old
    row, gap = was.row, amount.first - before.last
    if was.of is None or is_time(amount) or gap > _RECENT_WORDS:
        return []
    if row is None:
        return _thing_again(scene, amount, before, was)
    if row.entry.role == "added":
        return []
    if row.tight and (amount.unit in LENGTHS or (gap > _TIGHT_WORDS and amount.unit is None)):
        return []
    same = _says_the_same(amount, before, was)
    place = _place_again(scene, amount, before, was)
    parts = {
        **_talk(scene, amount, before, was),
        "same at once": float(same and gap <= _AT_ONCE),
        "same again": float(same and gap > _AT_ONCE),
        "again without a band": float(not _has_band(row) and not same),
    }
    offers = [fit(scene, amount, Offer(row, was.of, place, None, added, "again", parts))]
    offers += [
        fit(scene, amount, Offer(other, other.first or was.of, place, None, added, "again, other unit", parts))
        for other in scene.rows.measuring(was.of)
        if not other.strict and _has_band(other) and convert(1.0, other.unit, row.unit) is None
    ]
    said = said_role(scene, amount)
    sum_ = _makes_sum(was, amount, addends)
    follows = was.reading not in amount.readings and (said == "final" or _follows(scene, amount))
    if row.leads and (sum_ or said == "target" or follows):
        lead = _latest(scene, amount, [scene.rows.by_id[name] for name in row.leads])
        parts = {**parts, "sum": float(sum_), "led by wish": float(said == "target"), "led by so": float(follows)}
        name = name_of(scene, amount, lead, None)
        offers.append(fit(scene, amount, Offer(lead, name, place, None, added, "lead", parts)))
    return [offer for offer in offers if offer]


def _thing_again(scene: Scene, amount: Amount, before: Amount, was: Link) -> list[Link]:
    """Offer a thing without a row again."""
    if amount.unit is None or amount.quantity != before.quantity or convert(1.0, amount.unit, was.unit) is None:
        return []
    same = _says_the_same(amount, before, was)
    parts = {**_talk(scene, amount, before, was), "from thing again": 1.0, "thing, same again": float(same)}
    return [Link(None, was.of, 0.0, first_reading(scene, amount), amount.unit, None, parts)]


def addends_of(scene: Scene, amount: Amount, recent: Sequence[Known]) -> list[float]:
    """Give the sizes that were added or taken away a moment ago."""
    found: list[float] = []
    for before, was in recent:
        joined = scene.cues.ending("role-minus", before.first) or scene.cues.ending("role-plus", before.first)
        told = joined or scene.cues.inside("role-added", max(0, before.first - 5), before.first)
        row = was.row
        if was.reading and amount.first - before.last <= _ADDENDS and (told or (row and row.entry.role == "added")):
            found.append(was.reading)
    return found


def _makes_sum(was: Link, amount: Amount, addends: Sequence[float]) -> bool:
    """Tell whether an amount is what was measured with something added or taken away."""
    base = was.reading
    return base is not None and any(
        math.isclose(reading, whole, abs_tol=1e-6)
        for addend in addends
        for whole in (base + addend, base - addend)
        for reading in amount.readings
    )


def _follows(scene: Scene, amount: Amount) -> bool:
    """Tell a size that is a conclusion: "so six and a half", "six et demi final"."""
    last = scene.clause_range(amount.last - 1)[1]
    after = scene.cues.inside("role-final", amount.last, min(last, amount.last + 4))
    return bool(after) or scene.cues.ending("role-so", amount.first) is not None


def _says_the_same(amount: Amount, before: Amount, was: Link) -> bool:
    if (amount.low, amount.high, amount.unit or was.unit) != (before.low, before.high, was.unit):
        return False
    return was.reading in amount.readings if was.reading is not None else not amount.readings


def _place_again(scene: Scene, amount: Amount, before: Amount, was: Link) -> float:
    """Score how much of the talk is still about what was measured."""
    row, of, gap = was.row, was.of, amount.first - before.last
    assert row is not None
    assert of is not None
    crossed = scene.clauses_between(before.last - 1, amount.first)
    start = scene.clause_range(amount.first)[0]
    since = [h for h in scene.near(before.last, amount.first, 0, -1) if h.concept != of and h.kind in _TOPIC_KINDS]
    others = {head.concept for head in since if head.concept and scene.rows.measuring(head.concept)}
    made = row.made or is_made(scene, of)
    place = 0.35 - (0.004 if made else 0.008) * gap - 0.03 * crossed - 0.12 * min(len(others), 4)
    if row.tight and gap > _TIGHT_WORDS:
        place -= 0.45
    here = [h for h in scene.near(start, amount.first, 0, -1) if h.concept != of and h.kind in _TOPIC_KINDS]
    if not made and here:
        place -= 0.5  # the clause is about something else
    if row.series and was.reading is not None and amount.value is not None and amount.value > was.reading:
        place += 0.2  # it goes on: "eighteen, nineteen"
    if amount.unit is None and ((crossed == 0 and gap <= _TIGHT_WORDS) or (crossed == 1 and gap <= _AT_ONCE)):
        place += 0.35  # "thirty-five decibels on the right and thirty on the left"
    if gap <= _TIGHT_WORDS and scene.corrections(before.last, amount.first):
        place += 0.4
    return place


def _talk(scene: Scene, amount: Amount, before: Amount, was: Link) -> dict[str, float]:
    """Tell what lies between two amounts."""
    gap = amount.first - before.last
    crossed = scene.clauses_between(before.last - 1, amount.first)
    return {
        "again, words": math.log1p(gap),
        "again, clauses": math.log1p(crossed),
        "again, made": float(was.of is not None and is_made(scene, was.of)),
        "again in the clause": float(crossed == 0),
        "again, same unit": float(amount.unit is not None and amount.unit == before.unit),
        "again, both bare": float(amount.unit is None and before.unit is None),
    }


def _has_band(row: Row) -> bool:
    return row.entry.typical is not None or row.entry.possible is not None


def _latest(scene: Scene, amount: Amount, rows: Sequence[Row]) -> Row:
    """Give the row whose thing was spoken of last; the first if none was."""
    for head in reversed(scene.near(amount.first, amount.first, _LONG_AGO, -1)):
        for row in rows:
            if head.concept in row.entry.of:
                return row
    return rows[0]


def offers_second(scene: Scene, amount: Amount, old: Known) -> list[Link]:
    """Offer the other dimension of what the first number of a product measures."""
    before, was = old
    if was.of is None or before.partner != amount.partner:
        return []
    if was.row is None:
        return [
            Link(None, was.of, 0.0, amount.value, was.unit, parts={"from second side": 1.0, "second side, no row": 1.0})
        ]
    if was.row.pair:
        rows = [scene.rows.by_id[was.row.pair]]
    else:
        rows = [row for row in scene.rows.measuring(was.of) if row.id != was.row.id]
    offers = [fit(scene, amount, Offer(row, was.of, 1.2, source="second side")) for row in rows]
    return [offer for offer in offers if offer]


def is_named_size(scene: Scene, amount: Amount) -> bool:
    """Tell a number with an article and without a noun: "give me a three", "le quatre"."""
    if amount.first == 0 or is_counted(scene, amount) or amount.readings == (2.0,):
        return False
    return after_article(scene, amount)


def offers_named_size(scene: Scene, amount: Amount, old: Known) -> list[Link]:
    """Offer a thing whose size was named before, however long ago."""
    before, was = old
    if was.row is None or was.of is None or not was.row.tight or not was.row.bare:
        return []
    place = 0.5 - min(0.5, 0.0005 * (amount.first - before.last))
    offer = fit(scene, amount, Offer(was.row, was.of, place, source="named size"))
    return [offer] if offer else []


def offers_named_thing(scene: Scene, amount: Amount, head: Head) -> list[Link]:
    """Offer a thing that was named a moment ago: "the speculum is too big, give me a five"."""
    if head.concept is None or head.last > amount.first:
        return []
    crossed = scene.clauses_between(head.last - 1, amount.first)
    place = 0.4 - 0.015 * (amount.first - head.last) - 0.05 * crossed
    if place < 0:
        return []
    rows = [row for row in scene.rows.measuring(head.concept) if row.tight and row.bare == 1]
    offers = [
        fit(
            scene,
            amount,
            Offer(row, name_of(scene, amount, row, head.concept), place, head, source="named thing"),
        )
        for row in rows
    ]
    return [offer for offer in offers if offer]


def offers_same_stretch(scene: Scene, amount: Amount, old: Known) -> list[Link]:
    """Offer what was found from one hour to another before: the same stretch is the same thing."""
    before, was = old
    if was.row is None or was.of is None or (before.low, before.high) != (amount.low, amount.high):
        return []
    offer = fit(scene, amount, Offer(was.row, was.of, 0.1, source="same stretch"))
    return [offer] if offer else []


def same_as(scene: Scene, amount: Amount, other: Link) -> Link | None:
    """Give the link of an amount that was taken back for another: "four, pardon, four and a half"."""
    if other.row is None or other.of is None:
        return None
    return fit(scene, replace(amount, unit=other.unit), Offer(other.row, other.of, 0.0))
