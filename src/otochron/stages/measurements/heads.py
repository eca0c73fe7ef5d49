"""What an amount measures: the nearest fitting head, in either language, across a switch.

Every head near by (a mention, or a phrase that goes with a dimension) offers the rows of
``lexicons/dimensions.toml`` that it can have; so does what was measured a moment ago. The row whose unit and
bands fit and that stands nearest wins. The numbers below were set by hand on the samples of the tune set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from otochron.stages.measurements.amounts import CLOCK, LENGTHS, Amount
from otochron.stages.measurements.bands import Fit, Row, convert
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.roles import said_role
from otochron.stages.measurements.scene import Head, Scene

_BEFORE, _AFTER = 45, 12
_FAR = 260
_LONG_AGO = 1500
_RECENT_WORDS = 260
_FIT = {"typical": 0.7, "possible": 0.25, "unknown": 0.3, "outside": -0.9}
_ORDER: tuple[Fit, ...] = ("typical", "possible", "unknown", "outside")
_GENERIC_KINDS = frozenset(
    "structure landmark graft implant instrument approach drug material packing".split()
)
_LASTING_KINDS = frozenset({"implant", "graft"})
_COUNTED_KINDS = frozenset("structure landmark instrument finding disease test graft packing".split())
_FOUND_KINDS = frozenset({"disease", "complication"})
_TOPIC_KINDS = _LASTING_KINDS | {"landmark", "structure"}
_TIGHT_WORDS = 10
_BESIDE = 0.5
_TIGHT_PLACE = -0.3
_ALONE_WORDS = 3
_ENOUGH_ALONE = 0.35
_AT_ONCE = 5
_NEED_BEFORE, _NEED_AFTER, _NEED_STRICT = 12, 3, 8
_PLURAL_LETTERS = 3
_NEAR = -0.45
_WEIGHTS = frozenset({"kg", "%"})
_ENOUGH_UNIT = -1.2
_ENOUGH_DECIMAL = -0.4
_ENOUGH_TIME = 0.0
_ENOUGH_INTEGER = 0.95


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
    if amount.unit is None and _is_part_of_name(scene, amount):
        return None
    offers = [offer for head in _heads(scene, amount) for offer in _offers(scene, amount, head, added)]
    offers += [offer for old in recent[-6:] for offer in _again(scene, amount, old, added)]
    if amount.unit == CLOCK and amount.low is not None:
        offers += [offer for old in recent[-60:] for offer in _same_stretch(scene, amount, old)]
    if amount.partner is not None:
        offers += [offer for old in recent[-3:] for offer in _second(scene, amount, old)]
    if amount.unit is None and _is_named_size(scene, amount):
        offers += [offer for old in recent[-60:] for offer in _named_size(scene, amount, old)]
        offers += [offer for head in _heads(scene, amount) for offer in _named_thing(scene, amount, head)]
    offers = [_against_known(scene, amount, offer, recent) for offer in offers]
    best: Link | None = None
    for offer in offers:
        if best is None or offer.score > best.score + 1e-9:
            best = offer
    if amount.unit is not None:
        enough = _ENOUGH_TIME if _is_time(amount) else _ENOUGH_UNIT
        if best is None or best.score < enough:
            return Link(None, None, 0.0, _first(scene, amount), amount.unit)
        return best
    plain = not amount.decimal and len(amount.readings) <= 1 and amount.partner is None
    enough = _ENOUGH_DECIMAL
    if plain:
        first, last = scene.clause_range(amount.first)
        enough = _ENOUGH_ALONE if last - first <= _ALONE_WORDS else _ENOUGH_INTEGER
    if best is None or best.row is None or best.score < enough:
        return None
    return best


def _against_known(
    scene: Scene, amount: Amount, offer: Link, recent: Sequence[tuple[Amount, Link]]
) -> Link:
    """Doubt a second value of what has one size only, unless it corrects the first."""
    if offer.row is None or not offer.row.fixed or offer.reading is None:
        return offer
    known = [was.reading for _, was in recent[-60:] if was.row is offer.row and was.of == offer.of]
    if not known or offer.reading in known or any(c.last == amount.first for c in scene.corrections(amount.first - 4, amount.first)):
        return offer
    return replace(offer, score=offer.score - 0.7)


def _heads(scene: Scene, amount: Amount) -> list[Head]:
    """Give the heads near an amount, and the implants and grafts spoken of for longer."""
    near = scene.near(amount.first, amount.last, _BEFORE, _AFTER)
    far = scene.near(amount.first - _BEFORE, amount.first - _BEFORE, _FAR - _BEFORE, -1)
    last = {head.concept: head for head in far if head.kind in _LASTING_KINDS}
    return [*last.values(), *near]


def _first(scene: Scene, amount: Amount) -> float | None:
    if len(amount.readings) == 1 or (amount.readings and _written_as_one(scene, amount, amount.unit or "")):
        return amount.readings[0]
    return None


def _is_part_of_name(scene: Scene, amount: Amount) -> bool:
    """Tell whether a number belongs to the name of something: "le sept" is a nerve."""
    for head in scene.near(amount.first, amount.last, 4, 0):
        if head.concept and head.first < amount.last and head.last > amount.first:
            return not any(row.bare == 3 for row in scene.rows.measuring(head.concept))
    return False


def _offers(scene: Scene, amount: Amount, head: Head, added: bool) -> list[Link]:
    place = _place_score(scene, amount, head)
    if place is None:
        return []
    found: list[Link] = []
    if head.row:
        row = scene.rows.by_id[head.row]
        offer = _fit(scene, amount, row, _of(scene, amount, row, None), place + 0.1, head, added)
        return [offer] if offer else []
    assert head.concept is not None
    rows = scene.rows.measuring(head.concept)
    for row in rows:
        offer = _fit(scene, amount, row, _of(scene, amount, row, head.concept), place, head, added)
        if offer:
            found.append(offer)
    for row in scene.rows.hinted(head.concept):
        if row.hint_said and amount.unit is None:
            continue
        offer = _fit(scene, amount, row, _of(scene, amount, row, None), place - 0.25, head, added)
        if offer:
            found.append(offer)
    over = head.first < amount.last and head.last > amount.first
    if (
        amount.unit is not None
        and not over
        and (head.kind in _GENERIC_KINDS or (head.kind in _FOUND_KINDS and place > 0.3))
        and amount.quantity in ("size", "clock", "other")
        and amount.unit not in _WEIGHTS
        and not rows
        and (head.kind != "instrument" or place > 0.3)
    ):
        less = 0.1 if head.kind in _FOUND_KINDS else 0.75
        found.append(Link(None, head.concept, place - less, _first(scene, amount), amount.unit, head))
    return found


def _of(scene: Scene, amount: Amount, row: Row, concept: str | None) -> str:
    """Name what is measured: the concept itself, or the more special one that was spoken of last."""
    if row.first:
        return row.first
    if concept is not None and concept not in row.entry.of:
        concept = next((o for o in row.entry.of if scene.is_a(concept, o)), None)
    general = concept is not None and bool(row.kin) and concept not in row.kin
    if concept is not None and not (general and scene.is_a(row.kin[0], concept)):
        return concept
    kin = row.kin if general else row.entry.of
    seen = dict(zip(row.kin_seen, row.kin, strict=False)) if kin is row.kin else {}
    for head in reversed(scene.near(amount.first, amount.first, _LONG_AGO, -1)):
        if head.concept in seen:
            return seen[head.concept]
        if head.concept in kin and head.concept != concept and (concept is None or scene.is_a(head.concept, concept)):
            return head.concept if concept is not None else _of(scene, amount, row, head.concept)
    return concept or row.entry.of[0]


def _place_score(scene: Scene, amount: Amount, head: Head) -> float | None:
    """Score how near a head stands, and in what construction."""
    if head.last <= amount.first:
        gap = amount.first - head.last
        crossed = scene.clauses_between(head.last - 1, amount.first)
        score = (
            -0.035 * min(gap, 14)
            - 0.004 * max(0, gap - 14)
            - 0.22 * min(crossed, 2)
            - 0.03 * max(0, crossed - 2)
        )
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
            score += 0.5 if head.row else 0.8
        elif crossed == 0 and gap <= 3 and _only_joins(scene, amount.last, head.first):
            score += 0.45
        return score
    # The head holds the amount: "optique trente degrés".
    return 1.0


def _only_joins(scene: Scene, first: int, last: int) -> bool:
    """Tell whether only small words and materials stand between: "prothèse en titane de quatre et demi"."""
    return all(n in scene.joins for n in range(first, last))


def _fit(
    scene: Scene, amount: Amount, row: Row, of: str, place: float, head: Head | None, added: bool
) -> Link | None:
    """Score one row for one amount; None if the unit cannot be."""
    if amount.unit is None and not (row.bare or row.counted):
        return None
    unit = amount.unit or row.bare_unit
    if row.counted and amount.unit is not None:
        return None
    if row.entry.role == "added" and not added:
        return None
    if amount.unit is None and row.unit == CLOCK and not _on_dial(scene, amount):
        return None
    plain = amount.unit is None and not amount.decimal and len(amount.readings) <= 1
    if plain and row.bare == 2:
        return None
    if plain and row.bare == 4 and place < _BESIDE:
        return None
    if row.bare == 3 and amount.unit is None and not (head and head.first < amount.last and head.last > amount.first):
        return None
    beside = head is not None and head.first == amount.last and head.concept in row.entry.of
    counted = not beside or _is_plural(scene, amount.last)
    ahead = head is not None and head.last <= amount.first and place >= _BESIDE
    if plain and not row.counted and not ahead and counted and _is_counted(scene, amount):
        return None
    if row.tight and place < 0:
        if _is_time(amount) or amount.unit is None or place < _TIGHT_PLACE:
            return None
        place -= 0.6
    if amount.partner is None and (row.second or row.pair):
        place -= 0.3
    elif amount.part == 1 and row.second:
        place -= 0.6
    elif amount.partner is not None and not (row.pair or row.second) and _has_pair(scene, of):
        place -= 0.9
    fits = [(r, row.fit(r, unit)) for r in amount.readings] or [
        (None, _worst(row, amount, unit)),
    ]
    if convert(1.0, unit, row.unit) is None:
        return None
    best_fit = min((fit for _, fit in fits), key=_ORDER.index)
    direct = head is None or (head.concept is not None and scene.is_a(head.concept, of))
    if best_fit == "outside" and (amount.unit is None or row.counted or place < 0 or not direct):
        return None
    good = [r for r, fit in fits if fit == best_fit]
    reading = good[0] if len(good) == 1 or (good and _written_as_one(scene, amount, unit)) else None
    known = _dimension(scene, amount, row), _needs(scene, amount, row)
    told = head is not None and head.row == row.id
    if row.near and place < _NEAR:
        return None
    if row.counted and head is not None and not (head.first - amount.last in (0, 1)):
        return None
    if row.strict and max(known) <= 0 and not told:
        return None
    score = place + _FIT[best_fit] + row.prior + sum(known) + _manner(scene, amount, row, of, head)
    if row.entry.role == "added" and added:
        score += 0.4
    elif added:
        score -= 0.3
    return Link(row, of, score, reading, unit, head)


def _written_as_one(scene: Scene, amount: Amount, unit: str) -> bool:
    """A number in hyphens, or of a unit that is not a length, is what it says: "quatre-vingt-cinq décibels"."""
    return unit not in LENGTHS or all(word.glued for word in scene.words[amount.first + 1 : amount.first + 3])


def _on_dial(scene: Scene, amount: Amount) -> bool:
    value = amount.value
    at = scene.cues.ending("clock-preposition", amount.first)
    return (
        value is not None
        and value == int(value)
        and 1 <= value <= 12
        and at is not None
        and not amount.decimal
    )


def _has_pair(scene: Scene, of: str) -> bool:
    """Tell whether a product is usual here; of a piston it is diameter and length, of a graft two sides."""
    return not _is_made(scene, of) or any(row.pair for row in scene.rows.measuring(of))


def _is_made(scene: Scene, of: str) -> bool:
    entry = scene.lexicon.get(of)
    return entry is not None and entry.kind in _LASTING_KINDS


def _is_counted(scene: Scene, amount: Amount) -> bool:
    """A whole number before a plural counts: "two cuts", "four ear infections"."""
    last = amount.last
    if last >= len(scene.words) or scene.words[last - 1].mark:
        return False
    if scene.clauses_between(last - 1, last):
        return False
    named = any(head.first == last and head.kind in _COUNTED_KINDS for head in scene.near(last, last, 0, 0))
    return named or _is_plural(scene, last)


def _is_plural(scene: Scene, place: int) -> bool:
    word = scene.words[place].key if place < len(scene.words) else ""
    return len(word) > _PLURAL_LETTERS and word.endswith(("s", "x"))


def _is_named_size(scene: Scene, amount: Amount) -> bool:
    """ "Give me a three", "le quatre": an article and a number, and no noun."""
    if amount.first == 0 or _is_counted(scene, amount) or amount.readings == (2.0,):
        return False
    return _after_article(scene, amount)


def _after_article(scene: Scene, amount: Amount) -> bool:
    before = amount.first - 1
    return before >= 0 and scene.words[before].mark == "" and scene.cues.ending("size-article", amount.first) is not None


def _named_size(scene: Scene, amount: Amount, old: tuple[Amount, Link]) -> list[Link]:
    """Offer a thing whose size was named before, however long ago."""
    before, was = old
    if was.row is None or was.of is None or not was.row.tight or not was.row.bare:
        return []
    place = 0.5 - min(0.5, 0.0005 * (amount.first - before.last))
    offer = _fit(scene, amount, was.row, was.of, place, None, added=False)
    return [offer] if offer else []


def _named_thing(scene: Scene, amount: Amount, head: Head) -> list[Link]:
    """Offer a thing that was named a moment ago: "the speculum is too big, give me a five"."""
    if head.concept is None or head.last > amount.first:
        return []
    crossed = scene.clauses_between(head.last - 1, amount.first)
    place = 0.4 - 0.015 * (amount.first - head.last) - 0.05 * crossed
    if place < 0:
        return []
    rows = [row for row in scene.rows.measuring(head.concept) if row.tight and row.bare == 1]
    offers = [_fit(scene, amount, row, _of(scene, amount, row, head.concept), place, head, False) for row in rows]
    return [offer for offer in offers if offer]


def _same_stretch(scene: Scene, amount: Amount, old: tuple[Amount, Link]) -> list[Link]:
    """Offer what was found from one hour to another before: the same stretch is the same thing."""
    before, was = old
    if was.row is None or was.of is None or (before.low, before.high) != (amount.low, amount.high):
        return []
    offer = _fit(scene, amount, was.row, was.of, 0.1, None, added=False)
    return [offer] if offer else []


def _second(scene: Scene, amount: Amount, old: tuple[Amount, Link]) -> list[Link]:
    """Offer the other dimension of what the first number of a product measures."""
    before, was = old
    if was.row is None or was.of is None or before.partner != amount.partner:
        return []
    if was.row.pair:
        rows = [scene.rows.by_id[was.row.pair]]
    else:
        rows = [row for row in scene.rows.measuring(was.of) if row.id != was.row.id]
    offers = [_fit(scene, amount, row, was.of, 1.2, None, added=False) for row in rows]
    return [offer for offer in offers if offer]


def _manner(scene: Scene, amount: Amount, row: Row, of: str, head: Head | None) -> float:
    """What is wanted or cut is a thing that is made; what is read off is a distance. "A four" is a size."""
    score = 0.0
    said = said_role(scene, amount)
    if row.tight and amount.partner is not None and not (row.pair or row.second):
        score -= 0.9
    made = _is_made(scene, of)
    if said in ("target", "final", "intermediate"):
        score += 0.25 if made else -0.25 if row.dimension == "distance" or row.tight else 0.0
    elif said == "measured" and row.dimension == "distance":
        score += 0.3
    if amount.unit is None and row.bare and not amount.decimal and row.entry.typical and _after_article(scene, amount):
        score += 0.3
    # "at five centimetres from the canal" is no size of the canal.
    if row.default_role == "measured" and row.dimension != "distance" and head is not None and head.first >= amount.last:
        score -= 0.6 if scene.cues.ending("measured-away", amount.first) is not None else 0.0
    if row.default_role == "measured" and row.dimension != "distance" and scene.cues.at("measured-away-after", amount.last):
        score -= 0.6
    return score


def _worst(row: Row, amount: Amount, unit: str) -> Fit:
    return max((row.fit(v, unit) for v in (amount.low, amount.high) if v is not None), key=_ORDER.index)


def _dimension(scene: Scene, amount: Amount, row: Row) -> float:
    """Favour the row whose dimension is named near by."""
    first, last = scene.clause_range(amount.first)
    named = scene.cues.inside("dimension-word", max(first, amount.first - 6), min(last, amount.last + 4))
    if not named:
        return 0.0
    also = str(row.entry.values.get("also", ""))
    said = {cue.value for cue in named}
    if row.dimension in said or also in said or (row.dimension == "inner diameter" and "diameter" in said):
        return 0.45
    return -0.15 if said - {"distance"} else -0.05


def _needs(scene: Scene, amount: Amount, row: Row) -> float:
    """Some rows need the other end of the distance near by."""
    if not row.entry.needs:
        return 0.0
    before, after = (_NEED_STRICT, _NEED_STRICT) if row.strict else (_NEED_BEFORE, _NEED_AFTER)
    first = scene.clause_range(amount.first if row.strict else max(0, amount.first - before))[0]
    last = scene.clause_range(min(len(scene.words) - 1, amount.last + (0 if row.strict else after)))[1]
    if row.strict:
        first, last = max(first, amount.first - before), min(last, amount.last + after)
    near = scene.near(amount.first, amount.last, amount.first - first, max(0, last - amount.last) - 1)
    return 0.25 if any(head.concept in row.entry.needs for head in near) else -0.3


def _against_known(
    scene: Scene, amount: Amount, offer: Link, recent: Sequence[tuple[Amount, Link]]
) -> Link:
    """Doubt a second value of what has one size only, unless it corrects the first."""
    if offer.row is None or not offer.row.fixed or offer.reading is None:
        return offer
    known = [was.reading for _, was in recent[-60:] if was.row is offer.row and was.of == offer.of]
    if not known or offer.reading in known or any(c.last == amount.first for c in scene.corrections(amount.first - 4, amount.first)):
        return offer
    return replace(offer, score=offer.score - 0.7)


def _heads(scene: Scene, amount: Amount) -> list[Head]:
    """Give the heads near an amount, and the implants and grafts spoken of for longer."""
    near = scene.near(amount.first, amount.last, _BEFORE, _AFTER)
    far = scene.near(amount.first - _BEFORE, amount.first - _BEFORE, _FAR - _BEFORE, -1)
    last = {head.concept: head for head in far if head.kind in _LASTING_KINDS}
    return [*last.values(), *near]


def _first(scene: Scene, amount: Amount) -> float | None:
    if len(amount.readings) == 1 or (amount.readings and _written_as_one(scene, amount, amount.unit or "")):
        return amount.readings[0]
    return None


def _is_part_of_name(scene: Scene, amount: Amount) -> bool:
    """Tell whether a number belongs to the name of something: "le sept" is a nerve."""
    for head in scene.near(amount.first, amount.last, 4, 0):
        if head.concept and head.first < amount.last and head.last > amount.first:
            return not any(row.bare == 3 for row in scene.rows.measuring(head.concept))
    return False


def _offers(scene: Scene, amount: Amount, head: Head, added: bool) -> list[Link]:
    place = _place_score(scene, amount, head)
    if place is None:
        return []
    found: list[Link] = []
    if head.row:
        row = scene.rows.by_id[head.row]
        offer = _fit(scene, amount, row, _of(scene, amount, row, None), place + 0.1, head, added)
        return [offer] if offer else []
    assert head.concept is not None
    rows = scene.rows.measuring(head.concept)
    for row in rows:
        offer = _fit(scene, amount, row, _of(scene, amount, row, head.concept), place, head, added)
        if offer:
            found.append(offer)
    for row in scene.rows.hinted(head.concept):
        if row.hint_said and amount.unit is None:
            continue
        offer = _fit(scene, amount, row, _of(scene, amount, row, None), place - 0.25, head, added)
        if offer:
            found.append(offer)
    over = head.first < amount.last and head.last > amount.first
    if (
        amount.unit is not None
        and not over
        and (head.kind in _GENERIC_KINDS or (head.kind in _FOUND_KINDS and place > 0.3))
        and amount.quantity in ("size", "clock", "other")
        and amount.unit not in _WEIGHTS
        and not rows
        and (head.kind != "instrument" or place > 0.3)
    ):
        less = 0.1 if head.kind in _FOUND_KINDS else 0.75
        found.append(Link(None, head.concept, place - less, _first(scene, amount), amount.unit, head))
    return found


def _of(scene: Scene, amount: Amount, row: Row, concept: str | None) -> str:
    """Name what is measured: the concept itself, or the more special one that was spoken of last."""
    if row.first:
        return row.first
    if concept is not None and concept not in row.entry.of:
        concept = next((o for o in row.entry.of if scene.is_a(concept, o)), None)
    general = concept is not None and bool(row.kin) and concept not in row.kin
    if concept is not None and not (general and scene.is_a(row.kin[0], concept)):
        return concept
    kin = row.kin if general else row.entry.of
    seen = dict(zip(row.kin_seen, row.kin, strict=False)) if kin is row.kin else {}
    for head in reversed(scene.near(amount.first, amount.first, _LONG_AGO, -1)):
        if head.concept in seen:
            return seen[head.concept]
        if head.concept in kin and head.concept != concept and (concept is None or scene.is_a(head.concept, concept)):
            return head.concept if concept is not None else _of(scene, amount, row, head.concept)
    return concept or row.entry.of[0]


def _place_score(scene: Scene, amount: Amount, head: Head) -> float | None:
    """Score how near a head stands, and in what construction."""
    if head.last <= amount.first:
        gap = amount.first - head.last
        crossed = scene.clauses_between(head.last - 1, amount.first)
        score = (
            -0.035 * min(gap, 14)
            - 0.004 * max(0, gap - 14)
            - 0.22 * min(crossed, 2)
            - 0.03 * max(0, crossed - 2)
        )
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
            score += 0.5 if head.row else 0.8
        elif crossed == 0 and gap <= 3 and _only_joins(scene, amount.last, head.first):
            score += 0.45
        return score
    # The head holds the amount: "optique trente degrés".
    return 1.0


def _only_joins(scene: Scene, first: int, last: int) -> bool:
    """Tell whether only small words and materials stand between: "prothèse en titane de quatre et demi"."""
    return all(n in scene.joins for n in range(first, last))


def _fit(
    scene: Scene, amount: Amount, row: Row, of: str, place: float, head: Head | None, added: bool
) -> Link | None:
    """Score one row for one amount; None if the unit cannot be."""
    if amount.unit is None and not (row.bare or row.counted):
        return None
    unit = amount.unit or row.bare_unit
    if row.counted and amount.unit is not None:
        return None
    if row.entry.role == "added" and not added:
        return None
    if amount.unit is None and row.unit == CLOCK and not _on_dial(scene, amount):
        return None
    plain = amount.unit is None and not amount.decimal and len(amount.readings) <= 1
    if plain and row.bare == 2:
        return None
    if plain and row.bare == 4 and place < _BESIDE:
        return None
    if row.bare == 3 and amount.unit is None and not (head and head.first < amount.last and head.last > amount.first):
        return None
    beside = head is not None and head.first == amount.last and head.concept in row.entry.of
    counted = not beside or _is_plural(scene, amount.last)
    ahead = head is not None and head.last <= amount.first and place >= _BESIDE
    if plain and not row.counted and not ahead and counted and _is_counted(scene, amount):
        return None
    if row.tight and place < 0:
        if _is_time(amount) or amount.unit is None or place < _TIGHT_PLACE:
            return None
        place -= 0.6
    if amount.partner is None and (row.second or row.pair):
        place -= 0.3
    elif amount.part == 1 and row.second:
        place -= 0.6
    elif amount.partner is not None and not (row.pair or row.second) and _has_pair(scene, of):
        place -= 0.9
    fits = [(r, row.fit(r, unit)) for r in amount.readings] or [
        (None, _worst(row, amount, unit)),
    ]
    if convert(1.0, unit, row.unit) is None:
        return None
    best_fit = min((fit for _, fit in fits), key=_ORDER.index)
    direct = head is None or (head.concept is not None and scene.is_a(head.concept, of))
    if best_fit == "outside" and (amount.unit is None or row.counted or place < 0 or not direct):
        return None
    good = [r for r, fit in fits if fit == best_fit]
    reading = good[0] if len(good) == 1 or (good and _written_as_one(scene, amount, unit)) else None
    known = _dimension(scene, amount, row), _needs(scene, amount, row)
    told = head is not None and head.row == row.id
    if row.near and place < _NEAR:
        return None
    if row.counted and head is not None and not (head.first - amount.last in (0, 1)):
        return None
    if row.strict and max(known) <= 0 and not told:
        return None
    score = place + _FIT[best_fit] + row.prior + sum(known) + _manner(scene, amount, row, of, head)
    if row.entry.role == "added" and added:
        score += 0.4
    elif added:
        score -= 0.3
    return Link(row, of, score, reading, unit, head)


def _written_as_one(scene: Scene, amount: Amount, unit: str) -> bool:
    """A number in hyphens, or of a unit that is not a length, is what it says: "quatre-vingt-cinq décibels"."""
    return unit not in LENGTHS or all(word.glued for word in scene.words[amount.first + 1 : amount.first + 3])


def _on_dial(scene: Scene, amount: Amount) -> bool:
    value = amount.value
    at = scene.cues.ending("clock-preposition", amount.first)
    return (
        value is not None
        and value == int(value)
        and 1 <= value <= 12
        and at is not None
        and not amount.decimal
    )


def _has_pair(scene: Scene, of: str) -> bool:
    """Tell whether a product is usual here; of a piston it is diameter and length, of a graft two sides."""
    return not _is_made(scene, of) or any(row.pair for row in scene.rows.measuring(of))


def _is_made(scene: Scene, of: str) -> bool:
    entry = scene.lexicon.get(of)
    return entry is not None and entry.kind in _LASTING_KINDS


def _is_counted(scene: Scene, amount: Amount) -> bool:
    """A whole number before a plural counts: "two cuts", "four ear infections"."""
    last = amount.last
    if last >= len(scene.words) or scene.words[last - 1].mark:
        return False
    if scene.clauses_between(last - 1, last):
        return False
    named = any(head.first == last and head.kind in _COUNTED_KINDS for head in scene.near(last, last, 0, 0))
    return named or _is_plural(scene, last)


def _is_plural(scene: Scene, place: int) -> bool:
    word = scene.words[place].key if place < len(scene.words) else ""
    return len(word) > _PLURAL_LETTERS and word.endswith(("s", "x"))


def _is_named_size(scene: Scene, amount: Amount) -> bool:
    """ "Give me a three", "le quatre": an article and a number, and no noun."""
    if amount.first == 0 or _is_counted(scene, amount) or amount.readings == (2.0,):
        return False
    return _after_article(scene, amount)


def _after_article(scene: Scene, amount: Amount) -> bool:
    before = amount.first - 1
    return before >= 0 and scene.words[before].mark == "" and scene.cues.ending("size-article", amount.first) is not None


def _named_size(scene: Scene, amount: Amount, old: tuple[Amount, Link]) -> list[Link]:
    """Offer a thing whose size was named before, however long ago."""
    before, was = old
    if was.row is None or was.of is None or not was.row.tight or not was.row.bare:
        return []
    place = 0.5 - min(0.5, 0.0005 * (amount.first - before.last))
    offer = _fit(scene, amount, was.row, was.of, place, None, added=False)
    return [offer] if offer else []


def _named_thing(scene: Scene, amount: Amount, head: Head) -> list[Link]:
    """Offer a thing that was named a moment ago: "the speculum is too big, give me a five"."""
    if head.concept is None or head.last > amount.first:
        return []
    crossed = scene.clauses_between(head.last - 1, amount.first)
    place = 0.4 - 0.015 * (amount.first - head.last) - 0.05 * crossed
    if place < 0:
        return []
    rows = [row for row in scene.rows.measuring(head.concept) if row.tight and row.bare == 1]
    offers = [_fit(scene, amount, row, _of(scene, amount, row, head.concept), place, head, False) for row in rows]
    return [offer for offer in offers if offer]


def _same_stretch(scene: Scene, amount: Amount, old: tuple[Amount, Link]) -> list[Link]:
    """Offer what was found from one hour to another before: the same stretch is the same thing."""
    before, was = old
    if was.row is None or was.of is None or (before.low, before.high) != (amount.low, amount.high):
        return []
    offer = _fit(scene, amount, was.row, was.of, 0.1, None, added=False)
    return [offer] if offer else []


def _second(scene: Scene, amount: Amount, old: tuple[Amount, Link]) -> list[Link]:
    """Offer the other dimension of what the first number of a product measures."""
    before, was = old
    if was.row is None or was.of is None or before.partner != amount.partner:
        return []
    if was.row.pair:
        rows = [scene.rows.by_id[was.row.pair]]
    else:
        rows = [row for row in scene.rows.measuring(was.of) if row.id != was.row.id]
    offers = [_fit(scene, amount, row, was.of, 1.2, None, added=False) for row in rows]
    return [offer for offer in offers if offer]


def _manner(scene: Scene, amount: Amount, row: Row, of: str, head: Head | None) -> float:
    """What is wanted or cut is a thing that is made; what is read off is a distance. "A four" is a size."""
    score = 0.0
    said = said_role(scene, amount)
    if row.tight and amount.partner is not None and not (row.pair or row.second):
        score -= 0.9
    made = _is_made(scene, of)
    if said in ("target", "final", "intermediate"):
        score += 0.25 if made else -0.25 if row.dimension == "distance" or row.tight else 0.0
    elif said == "measured" and row.dimension == "distance":
        score += 0.3
    if amount.unit is None and row.bare and not amount.decimal and row.entry.typical and _after_article(scene, amount):
        score += 0.3
    # "at five centimetres from the canal" is no size of the canal.
    if row.default_role == "measured" and row.dimension != "distance" and head is not None and head.first >= amount.last:
        score -= 0.6 if scene.cues.ending("measured-away", amount.first) is not None else 0.0
    if row.default_role == "measured" and row.dimension != "distance" and scene.cues.at("measured-away-after", amount.last):
        score -= 0.6
    return score


def _worst(row: Row, amount: Amount, unit: str) -> Fit:
    return max((row.fit(v, unit) for v in (amount.low, amount.high) if v is not None), key=_ORDER.index)


def _dimension(scene: Scene, amount: Amount, row: Row) -> float:
    """Favour the row whose dimension is named near by."""
    first, last = scene.clause_range(amount.first)
    named = scene.cues.inside("dimension-word", max(first, amount.first - 6), min(last, amount.last + 4))
    if not named:
        return 0.0
    also = str(row.entry.values.get("also", ""))
    said = {cue.value for cue in named}
    if row.dimension in said or also in said or (row.dimension == "inner diameter" and "diameter" in said):
        return 0.45
    return -0.15 if said - {"distance"} else -0.05


def _needs(scene: Scene, amount: Amount, row: Row) -> float:
    """Some rows need the other end of the distance near by."""
    if not row.entry.needs:
        return 0.0
    first = scene.clause_range(amount.first if row.strict else max(0, amount.first - 12))[0]
    last = scene.clause_range(min(len(scene.words) - 1, amount.last + 3))[1]
    near = scene.near(amount.first, amount.last, amount.first - first, max(0, last - amount.last) - 1)
    return 0.25 if any(head.concept in row.entry.needs for head in near) else -0.3


def _again(scene: Scene, amount: Amount, old: tuple[Amount, Link], added: bool) -> list[Link]:
    """Offer what was measured a moment ago."""
    before, was = old
    gap = amount.first - before.last
    if was.row is None or was.of is None or was.row.entry.role == "added" or _is_time(amount):
        return []
    if gap > _RECENT_WORDS:
        return []
    far_size = was.row.tight and gap > _TIGHT_WORDS
    if was.row.tight and (amount.unit in LENGTHS or (far_size and amount.unit is None)):
        return []
    crossed = scene.clauses_between(before.last - 1, amount.first)
    others = {
        head.concept
        for head in scene.near(before.last, amount.first, 0, -1)
        if head.concept and head.concept != was.of and head.kind in _TOPIC_KINDS and scene.rows.measuring(head.concept)
    }
    made = was.row.made or _is_made(scene, was.of)
    start = scene.clause_range(amount.first)[0]
    elsewhere = not made and any(
        head.concept != was.of and head.kind in _TOPIC_KINDS and head.first >= start
        for head in scene.near(start, amount.first, 0, -1)
    )
    place = (-0.1 if far_size else 0.35) - (0.004 if made else 0.008) * gap - 0.5 * elsewhere - 0.03 * crossed - 0.12 * min(len(others), 4)
    same = (amount.low, amount.high, amount.unit or was.unit) == (before.low, before.high, was.unit) and (
        was.reading in amount.readings if was.reading is not None else not amount.readings
    )
    if same:
        place += 0.7 if gap <= 5 else 0.4
    if was.row.series and was.reading is not None and amount.value is not None and amount.value > was.reading:
        place += 0.2  # it goes on: "eighteen, nineteen"
    if amount.unit is None and (crossed == 0 and gap <= _TIGHT_WORDS or crossed == 1 and gap <= _AT_ONCE):
        place += 0.35  # "thirty-five decibels on the right and thirty on the left"
    if gap <= _TIGHT_WORDS and scene.corrections(before.last, amount.first):
        place += 0.4
    offers = [_fit(scene, amount, was.row, was.of, place - (0.0 if _has_band(was.row) or same else 0.5), None, added)]
    offers += [
        _fit(scene, amount, row, row.first or was.of, place - 0.3, None, added)
        for row in scene.rows.measuring(was.of)
        if not row.strict and _has_band(row) and convert(1.0, row.unit, was.row.unit) is None
    ]
    said = said_role(scene, amount)
    if was.row.leads and (said == "target" or (said == "final" and was.reading not in amount.readings)):
        lead = _latest(scene, amount, [scene.rows.by_id[name] for name in was.row.leads])
        offers.append(_fit(scene, amount, lead, _of(scene, amount, lead, None), place + 0.1, None, added))
    return [offer for offer in offers if offer]


def _is_time(amount: Amount) -> bool:
    """Spans of time measure themselves, save the pulses of a laser."""
    return amount.quantity == "time" and amount.unit != "ms"


def _has_band(row: Row) -> bool:
    return row.entry.typical is not None or row.entry.possible is not None


def _latest(scene: Scene, amount: Amount, rows: Sequence[Row]) -> Row:
    """Give the row whose thing was spoken of last; the first if none was."""
    for head in reversed(scene.near(amount.first, amount.first, _LONG_AGO, -1)):
        for row in rows:
            if head.concept in row.entry.of:
                return row
    return rows[0]


def same_as(scene: Scene, amount: Amount, other: Link) -> Link | None:
    """Give the link of an amount that was taken back for another: "four, pardon, four and a half"."""
    if other.row is None or other.of is None:
        return None
    return _fit(scene, amount, other.row, other.of, 0.0, None, added=False)
