"""What an amount measures: the nearest fitting head, in either language, across a switch.

Every head near by (a mention, or a phrase that goes with a dimension) offers the rows of
``lexicons/dimensions.toml`` that it can have; so does what was measured a moment ago (``recent.py``). The row
whose unit and bands fit (``fit.py``) and that stands nearest wins.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from otochron.stages.measurements.amounts import CLOCK, Amount
from otochron.stages.measurements.bands import Row, convert
from otochron.stages.measurements.choice import NO_SIZE
from otochron.stages.measurements.fit import (
    MADE_KINDS,
    Offer,
    after_article,
    first_reading,
    fit,
    is_counted,
    is_made,
    is_plain,
)
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.naming import name_of, others_of
from otochron.stages.measurements.recent import (
    addends_of,
    is_named_size,
    offers_again,
    offers_named_size,
    offers_named_thing,
    offers_same_stretch,
    offers_second,
)
from otochron.stages.measurements.scene import THINGS, Head, Scene
from otochron.stages.measurements.stand import stand

_BEFORE, _AFTER, _FAR = 45, 12, 260
"""Words before and after an amount in which heads are looked for; implants and grafts are far longer spoken of."""
_SIZED = ("size", "clock", "other")
_TELLING = frozenset({"dB", "1", "%", "mA", "kOhm", "W", "mJ"})
"""Units in which few things are measured: they point to these even where none is named near by."""
_WEIGHTS = frozenset({"kg", "%"})
_ALONE_WORDS = 3
_AGAINST = {"against both ends": 1.0}
"""Both ends of a distance are named in the clause, and this is not it."""
_ACT_BEFORE, _ACT_AFTER = 12, 4
"""Words before and after an amount in which an act tells what is sized: what is taken, or what is cut from it."""
_REMEMBERED = 60
_TOPIC_FROM = 3
"""Mentions that make a thing a topic, which is measured when it has not been named for a while."""


def candidates(scene: Scene, amount: Amount, recent: Sequence[tuple[Amount, Link]], added: bool) -> list[Link]:
    """Give all that an amount may measure, with what speaks for each; the first is that it measures nothing.

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
    """
    nothing = _nothing(scene, amount)
    if amount.unit is None and (_is_part_of_name(scene, amount) or (amount.weak and amount.decimal and not added)):
        return [nothing]
    recent = recent[-_REMEMBERED:]
    last = next((was.of for _, was in reversed(recent) if was.of), None)
    near = scene.near(amount.first, amount.last, _ACT_BEFORE, _ACT_AFTER)
    acts = sorted({head.concept for head in near if head.kind == "action" and head.concept})
    offered = [
        offer.told(**_common(scene, amount, _against_known(scene, amount, offer, recent), last, acts))
        for offer in _all_offers(scene, amount, recent, added)
    ]
    if any("both ends here" in link.parts for link in offered):
        offered = [link if "both ends here" in link.parts else link.told(**_AGAINST) for link in offered]
    return [nothing, *offered]


def _nothing(scene: Scene, amount: Amount) -> Link:
    """Give the link to nothing: a size of which nothing is known, or, without a unit, none at all."""
    if amount.unit is not None:
        kind = amount.quantity if amount.quantity and amount.quantity != "size" else amount.unit
        parts = {"nothing": 1.0, f"nothing, {kind}": 1.0, f"nothing, {amount.unit}": 1.0}
        return Link(None, None, 0.0, first_reading(scene, amount), amount.unit, parts=parts)
    first, last = scene.clause_range(amount.first)
    plain = is_plain(amount) and amount.partner is None
    return Link(
        None,
        NO_SIZE,
        0.0,
        None,
        "",
        parts={
            "no size": 1.0,
            "no size, whole": float(plain),
            "no size, alone": float(plain and last - first <= _ALONE_WORDS),
            "no size, counted": float(is_counted(scene, amount)),
            "no size, after article": float(after_article(scene, amount)),
            "no size, product": float(amount.partner is not None),
        },
    )


def _common(scene: Scene, amount: Amount, offer: Link, last: str | None, acts: Sequence[str]) -> dict[str, float]:
    """Tell what does not depend on how the offer was come by."""
    entry = scene.lexicon.get(offer.of)
    kind = entry.kind if entry else ""
    made = "row" if offer.row else "thing"
    parts = {**offer.parts, f"{made} {kind}": 1.0, "measured last": float(offer.of == last)}
    parts[f"{made} {kind}, {amount.quantity or amount.unit or 'bare'}"] = 1.0
    if offer.row is not None and len(offer.row.entry.of) > 1 and offer.row.unit != CLOCK:
        parts[f"{offer.row.dimension} of {offer.of}"] = 1.0
        for act in acts:
            parts[f"{act}: {kind}"] = 1.0
    if amount.unit is None:
        parts["bare"] = 1.0
    if offer.row is not None and offer.row.dimension:
        parts[f"dimension {offer.row.dimension}"] = 1.0
    return parts


def _all_offers(scene: Scene, amount: Amount, recent: Sequence[tuple[Amount, Link]], added: bool) -> Iterator[Link]:
    heads = heads_of(scene, amount)
    named = [link for head in heads for link in _offers(scene, amount, head, added)]
    yield from named
    addends = addends_of(scene, amount, recent[-6:])
    for old in recent[-6:]:
        yield from offers_again(scene, amount, old, added, addends)
    if amount.said_unit and amount.unit in _TELLING and not any(link.row for link in named):
        yield from _by_unit(scene, amount, added)
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


def _by_unit(scene: Scene, amount: Amount, added: bool) -> Iterator[Link]:
    """Offer what alone is measured in a unit: milliamperes are those of the nerve."""
    for row in scene.rows.all:
        if (
            row.strict
            or row.counted
            or (row.dimension == "share" and row.unit == "1")
            or convert(1.0, amount.unit or "", row.unit) is None
        ):
            continue
        parts = {f"by unit {row.id}": 1.0, "unspoken": float(not scene.spoken_of(row))}
        made = fit(scene, amount, Offer(row, name_of(scene, amount, row, None), 0.0, None, added, "unit", parts))
        if made is not None:
            yield made


def _against_known(scene: Scene, amount: Amount, offer: Link, recent: Sequence[tuple[Amount, Link]]) -> Link:
    """Doubt a second value of what has one size only, unless it corrects the first."""
    if offer.row is None or not offer.row.fixed or offer.reading is None:
        return offer
    known = [was.reading for _, was in recent[-60:] if was.row is offer.row and was.of == offer.of]
    corrected = any(c.last == amount.first for c in scene.corrections(amount.first - 4, amount.first))
    if not known or offer.reading in known or corrected:
        return offer
    return offer.told(second=1.0)


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

    def offer(row: Row, of: str | None, group: str) -> list[Link]:
        parts = stand(scene, amount, head, group)
        parts["unspoken"] = float(group != "own" and row.unit != CLOCK and not scene.spoken_of(row))
        name = name_of(scene, amount, row, of)
        made = fit(scene, amount, Offer(row, name, place, head, added, group, parts))
        if made is None:
            return []
        if of == name or len(row.entry.of) == 1:
            return [made]
        named = [
            replace(made, of=other).told(**{"other name": 1.0, "other name, words": math.log1p(gap) - 2})
            for other, gap in others_of(scene, amount, row, name)
        ]
        return [made, *named]

    if head.row:
        return offer(scene.rows.by_id[head.row], None, "phrase")
    assert head.concept is not None
    rows = scene.rows.measuring(head.concept)
    made = [offer(row, head.concept, "own") for row in rows]
    made += [
        offer(row, None, "hint")
        for row in scene.rows.hinted(head.concept)
        if amount.unit is not None or not row.hint_said
    ]
    found = [link for links in made for link in links]
    sized = any(link.row and (link.row.made or is_made(scene, link.row.entry.of[0])) for link in found)
    if amount.unit is not None and _is_measurable(amount, head) and not sized:
        parts = stand(scene, amount, head, "thing")
        parts |= {"place thing": place, "thing has rows": float(bool(rows))}
        parts["thing beside an own row"] = float(any(link.of == head.concept for link in found))
        found.append(Link(None, head.concept, 0.0, first_reading(scene, amount), amount.unit, head, parts))
    return found


def _is_measurable(amount: Amount, head: Head) -> bool:
    """Tell whether a thing without a row may be what is measured: "deux millimètres de dure-mère"."""
    over = head.first < amount.last and head.last > amount.first
    return head.kind in THINGS and not over and amount.quantity in _SIZED and amount.unit not in _WEIGHTS


def _place_score(scene: Scene, amount: Amount, head: Head) -> float:
    """Score how near a head stands, and in what construction."""
    if head.last <= amount.first:
        gap = amount.first - head.last
        crossed = scene.clauses_between(head.last - 1, amount.first)
        if gap in (1, 2) and scene.lead(amount.first) == "of" and _only_joins(scene, head.last, amount.first):
            crossed = 0  # "la diamantée / de deux": a line ends, no statement
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
