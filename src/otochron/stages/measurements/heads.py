"""What an amount measures: the nearest fitting head, in either language, across a switch.

Every head near by (a mention, or a phrase that goes with a dimension) offers the rows of
``lexicons/dimensions.toml`` that it can have; so does what was measured a moment ago (``recent.py``). The row
whose unit and bands fit (``fit.py``) and that stands nearest wins.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from otochron.stages.measurements.amounts import CLOCK, Amount
from otochron.stages.measurements.bands import Row
from otochron.stages.measurements.fit import MADE_KINDS, Offer, first_reading, fit, is_plain, is_time
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.naming import name_of
from otochron.stages.measurements.recent import (
    addends_of,
    is_named_size,
    offers_again,
    offers_named_size,
    offers_named_thing,
    offers_same_stretch,
    offers_second,
)
from otochron.stages.measurements.scene import Head, Scene

_BEFORE, _AFTER, _FAR = 45, 12, 260
"""Words before and after an amount in which heads are looked for; implants and grafts are far longer spoken of."""
_GENERIC_KINDS = frozenset("structure landmark graft implant approach drug material packing".split())
_FOUND_KINDS = frozenset({"disease", "complication"})
_WEIGHTS = frozenset({"kg", "%"})
_ENOUGH_UNIT, _ENOUGH_DECIMAL, _ENOUGH_TIME, _ENOUGH_INTEGER, _ENOUGH_ALONE = -1.2, -0.5, 0.0, 0.95, 0.35
"""Scores that a link needs: with a unit, with decimals, for a time, for a whole number, for one that stands alone."""
_ALONE_WORDS = 3
_REMEMBERED = 60
_CLOSE = 0.3
_GENERIC, _GENERIC_BESIDE = 0.75, 0.3
"""What a thing without a row loses against those that have one."""
_TOPIC_FROM = 3
"""Mentions that make a thing a topic, which is measured when it has not been named for a while."""
_UNSPOKEN = 0.7
"""What a row loses that only a phrase points to, where its thing is never named."""


def link(scene: Scene, amount: Amount, recent: Sequence[tuple[Amount, Link]], added: bool) -> Link | None:
    """Choose what an amount measures.

    Parameters
    ----------
    scene : Scene
        The recording.
    amount : Amount
        With or without a unit.
    recent : sequence of (Amount, Link)
        What was measured before, latest last.
    added : bool
        Whether the amount is said to be added to another.

    Returns
    -------
    Link or None
        None for a number without unit that measures nothing.
    """
    if amount.unit is None and (_is_part_of_name(scene, amount) or (amount.weak and amount.decimal and not added)):
        return None
    best: Link | None = None
    for offer in _all_offers(scene, amount, recent[-_REMEMBERED:], added):
        scored = _against_known(scene, amount, offer, recent[-_REMEMBERED:])
        if best is None or scored.score > best.score + 1e-9:
            best = scored
    if amount.unit is not None:
        enough = _ENOUGH_TIME if is_time(amount) else _ENOUGH_UNIT
        if best is not None and best.score >= enough:
            return best
        return Link(None, None, 0.0, first_reading(scene, amount), amount.unit)
    return best if best is not None and best.row is not None and best.score >= _enough(scene, amount) else None


def _enough(scene: Scene, amount: Amount) -> float:
    """Give the score that a number without a unit needs: a whole number proves little, unless it stands alone."""
    if not is_plain(amount) or amount.partner is not None:
        return _ENOUGH_DECIMAL
    first, last = scene.clause_range(amount.first)
    return _ENOUGH_ALONE if last - first <= _ALONE_WORDS else _ENOUGH_INTEGER


def _all_offers(scene: Scene, amount: Amount, recent: Sequence[tuple[Amount, Link]], added: bool) -> Iterator[Link]:
    heads = heads_of(scene, amount)
    for head in heads:
        yield from _offers(scene, amount, head, added)
    addends = addends_of(scene, amount, recent[-6:])
    for old in recent[-6:]:
        yield from offers_again(scene, amount, old, added, addends)
    if amount.unit == CLOCK and amount.low is not None:
        for old in recent:
            yield from offers_same_stretch(scene, amount, old)
    if amount.partner is not None:
        for old in recent[-3:]:
            yield from offers_second(scene, amount, old)
    if (amount.unit is None or amount.quantity == "angle") and is_named_size(scene, amount):
        for old in recent:
            yield from offers_named_size(scene, amount, old)
        for head in heads:
            yield from offers_named_thing(scene, amount, head)


def _against_known(scene: Scene, amount: Amount, offer: Link, recent: Sequence[tuple[Amount, Link]]) -> Link:
    """Doubt a second value of what has one size only, unless it corrects the first."""
    if offer.row is None or not offer.row.fixed or offer.reading is None:
        return offer
    known = [was.reading for _, was in recent[-60:] if was.row is offer.row and was.of == offer.of]
    corrected = any(c.last == amount.first for c in scene.corrections(amount.first - 4, amount.first))
    if not known or offer.reading in known or corrected:
        return offer
    return replace(offer, score=offer.score - 0.7)


def heads_of(scene: Scene, amount: Amount) -> list[Head]:
    """Give the heads near an amount, and the implants and grafts spoken of for longer."""
    near = scene.near(amount.first, amount.last, _BEFORE, _AFTER)
    far = scene.near(amount.first - _BEFORE, amount.first - _BEFORE, _FAR - _BEFORE, -1)
    last = {
        head.concept: head for head in far if head.kind in MADE_KINDS and scene.count[head.concept or ""] >= _TOPIC_FROM
    }
    return [*last.values(), *near]


def _is_part_of_name(scene: Scene, amount: Amount) -> bool:
    """Tell whether a number belongs to the name of something: "le sept" is a nerve."""
    for head in scene.near(amount.first, amount.last, 4, 0):
        if head.concept and head.first < amount.last and head.last > amount.first:
            return not any(row.bare == 3 for row in scene.rows.measuring(head.concept))
    return False


def _offers(scene: Scene, amount: Amount, head: Head, added: bool) -> list[Link]:
    """Give what one head offers: the rows that measure it, those it hints at, and the bare thing."""
    place = _place_score(scene, amount, head)
    if head.row:
        row = scene.rows.by_id[head.row]
        place += 0.1 - _unspoken(scene, row)
        told = fit(scene, amount, Offer(row, name_of(scene, amount, row, None), place, head, added))
        return [told] if told else []
    assert head.concept is not None
    rows = scene.rows.measuring(head.concept)
    offers = [Offer(row, name_of(scene, amount, row, head.concept), place, head, added) for row in rows]
    offers += [
        Offer(row, name_of(scene, amount, row, None), place - 0.25 - _unspoken(scene, row), head, added)
        for row in scene.rows.hinted(head.concept)
        if amount.unit is not None or not row.hint_said
    ]
    found = [scored for offer in offers if (scored := fit(scene, amount, offer))]
    if amount.unit is not None and not rows and _is_measurable(amount, head, place):
        less = 0.1 if head.kind in _FOUND_KINDS else _GENERIC_BESIDE if place > _CLOSE else _GENERIC
        found.append(Link(None, head.concept, place - less, first_reading(scene, amount), amount.unit, head))
    return found


def _unspoken(scene: Scene, row: Row) -> float:
    return 0.0 if row.unit == CLOCK or scene.spoken_of(row) else _UNSPOKEN


def _is_measurable(amount: Amount, head: Head, place: float) -> bool:
    """Tell whether a thing without a row may be what is measured: "deux millimètres de dure-mère"."""
    over = head.first < amount.last and head.last > amount.first
    beside = place > _CLOSE
    kind = head.kind in _GENERIC_KINDS or (beside and (head.kind in _FOUND_KINDS or head.kind == "instrument"))
    return kind and not over and amount.quantity in ("size", "clock", "other") and amount.unit not in _WEIGHTS


def _place_score(scene: Scene, amount: Amount, head: Head) -> float:
    """Score how near a head stands, and in what construction."""
    if head.last <= amount.first:
        gap = amount.first - head.last
        crossed = scene.clauses_between(head.last - 1, amount.first)
        score = -0.035 * min(gap, 14) - 0.004 * max(0, gap - 14) - 0.22 * min(crossed, 2) - 0.03 * max(0, crossed - 2)
        if crossed == 0 and gap <= 5 and _only_joins(scene, head.last, amount.first):
            score += 0.7
        elif gap <= 5 and crossed == 0:
            score += 0.25
        return score
    if head.first >= amount.last:
        gap = head.first - amount.last
        crossed = scene.clauses_between(amount.last - 1, head.first)
        score = -0.07 * gap - (0.6 if gap else 0.4) * crossed - 0.1
        if crossed <= 1 and gap == 0:
            score += 0.5 if head.row else 0.9
        elif crossed == 0 and gap <= 3 and _only_joins(scene, amount.last, head.first):
            score += 0.45
        return score
    # The head holds the amount: "optique trente degrés".
    return 1.0


def _only_joins(scene: Scene, first: int, last: int) -> bool:
    """Tell whether only small words and materials stand between: "prothèse en titane de quatre et demi"."""
    return all(n in scene.joins for n in range(first, last))
