"""Scores of mentions and their status, and of measurements."""

from __future__ import annotations

import math

from otochron.model import Measurement, Mention
from otochron.score.gold import Gold, GoldMeasurement
from otochron.score.measures import f1, macro_f1, ratio
from otochron.score.places import HeardPlaces, Terms
from otochron.score.words import Numbers, Part

_UNCOUNTED = frozenset({"action", "side", "position"})
"""Kinds that gold files do not mark."""
_NEAR_S = 25.0
_SAME = 1e-6


def score_mentions(gold: Gold, places: HeardPlaces, terms: Terms) -> tuple[Part, list[tuple[str, str]]]:
    """Mention F1 by concept and place: right if the words overlap and the concept is one that the term names.

    Also gives ``(gold status, made status)`` of every mention matched by place.
    """
    part = Part(dict.fromkeys(("gold", "given", "right", "place", "status_right"), 0))
    until = (gold.mentions_complete_until or 0) * 1000
    made = [(m, places.of_span(m)) for m in places.record.mentions]
    by_word: dict[int, list[int]] = {}
    for n, (_, (first, last)) in enumerate(made):
        for word in range(first, last):
            by_word.setdefault(word, []).append(n)
    used: set[int] = set()
    statuses: list[tuple[str, str]] = []
    for item in gold.mentions:
        place = places.find(item.heard, item.time)
        if item.term is not None or place is None:
            part.counts["gold"] += item.term is not None
        if place is None:
            continue
        near = sorted({n for word in range(*place) for n in by_word.get(word, ())} - used)
        near.sort(key=lambda n: made[n][0].kind in _UNCOUNTED)
        same = [n for n in near if _names(item.term, made[n][0], terms)]
        line = places.heard[place[0]].line
        if not near:
            if item.term is not None:
                part.miss("mention missed", item.time, line, heard=item.heard, term=item.term)
            continue
        chosen = (same or near)[0]
        used.update(near)
        mention = made[chosen][0]
        part.counts["place"] += 1
        statuses.append((item.status, mention.status))
        part.counts["status_right"] += item.status == mention.status
        if item.status != mention.status:
            part.miss("status", item.time, line, heard=item.heard, gold=item.status, made=mention.status)
        if item.term is not None:
            part.counts["right"] += bool(same)
            part.counts["given"] += 1
            if not same:
                part.miss("other concept", item.time, line, heard=item.heard, term=item.term, made=mention.concept)
    for n, (mention, _) in enumerate(made):
        if n not in used and _counts(mention, until):
            part.counts["given"] += 1
            part.miss(
                "mention not in gold",
                mention.start_ms / 1000,
                mention.line,
                surface=mention.surface,
                made=mention.concept,
            )
    return part, statuses


def _names(term: str | None, mention: Mention, terms: Terms) -> bool:
    """Tell whether a mention, or what it refers to, is what the term names."""
    known = [c for c in (mention.concept, mention.refers_to) if c]
    return any(terms.same(term, concept) for concept in known) if known else term is None


def _counts(mention: Mention, until_ms: float) -> bool:
    return mention.kind not in _UNCOUNTED and mention.start_ms <= until_ms and mention.concept is not None


def mention_numbers(counts: dict[str, int]) -> Numbers:
    """Precision, recall and F1 of mentions by concept and place."""
    return {
        "gold": counts.get("gold", 0),
        **f1(counts.get("right", 0), counts.get("given", 0), counts.get("gold", 0)),
    }


def status_numbers(pairs: list[tuple[str, str]]) -> Numbers:
    """Accuracy and macro F1 of status over the mentions found at the right place."""
    gold, made = [a for a, _ in pairs], [b for _, b in pairs]
    return {
        "mentions": len(pairs),
        "accuracy": ratio(sum(a == b for a, b in pairs), len(pairs)),
        "f1": macro_f1(gold, made),
    }


def score_measurements(gold: Gold, places: HeardPlaces, terms: Terms) -> Part:
    """Measurements exact: value (or low and high), unit, and what is measured."""
    names = ("gold", "given", "exact", "value_unit", "roles", "roles_right", "status_right", "wrong_value")
    part = Part(dict.fromkeys(names, 0))
    made = list(places.record.measurements)
    used: set[int] = set()
    part.counts["given"] = len(made)
    for item in gold.measurements:
        part.counts["gold"] += 1
        near = [n for n, m in enumerate(made) if n not in used and _near(item, m)]
        same = [n for n in near if _value(item, made[n]) and _unit(item.unit, made[n].unit)]
        full = [n for n in same if terms.same(item.of, made[n].of)]
        chosen = min(full or same, key=lambda n: abs(made[n].start_ms / 1000 - item.time), default=None)
        if chosen is None:
            others = [f"{m.surface} -> {m.value} {m.unit}" for n in near if (m := made[n])][:4]
            part.miss(
                "measurement missed",
                item.time,
                "",
                value=item.value,
                unit=item.unit,
                of=item.of,
                heard=item.heard,
                near=others,
            )
            continue
        used.add(chosen)
        measurement = made[chosen]
        part.counts["value_unit"] += 1
        part.counts["exact"] += bool(full)
        part.counts["status_right"] += measurement.status == item.status
        if not full:
            part.miss(
                "measured thing",
                item.time,
                measurement.line,
                surface=measurement.surface,
                gold=item.of,
                made=measurement.of,
            )
        if item.has_role:
            part.counts["roles"] += 1
            part.counts["roles_right"] += measurement.role == item.role
            if measurement.role != item.role:
                part.miss(
                    "role",
                    item.time,
                    measurement.line,
                    surface=measurement.surface,
                    gold=item.role,
                    made=measurement.role,
                )
    for n, measurement in enumerate(made):
        if n not in used:
            part.miss(
                "measurement not in gold",
                measurement.start_ms / 1000,
                measurement.line,
                surface=measurement.surface,
                value=measurement.value,
                unit=measurement.unit,
                of=measurement.of,
            )
    return part


def _near(item: GoldMeasurement, made: Measurement) -> bool:
    at = made.start_ms / 1000
    return item.time - _NEAR_S <= at <= (item.until or item.time) + _NEAR_S


def _value(item: GoldMeasurement, made: Measurement) -> bool:
    if isinstance(item.value, list):
        pair = (made.low, made.high)
        return all(a is not None and math.isclose(a, b, rel_tol=_SAME) for a, b in zip(pair, item.value, strict=False))
    if item.value is None or made.value is None:
        return item.value is None and made.value is None
    return math.isclose(item.value, made.value, rel_tol=_SAME)


def _unit(gold: str, made: str) -> bool:
    return gold == made or {gold, made} <= {"", "1"}


def measurement_numbers(counts: dict[str, int]) -> Numbers:
    """Share exact, share with the right value and unit, roles, status, and precision."""
    get = counts.get
    return {
        "gold": get("gold", 0),
        "exact": ratio(get("exact", 0), get("gold", 0)),
        "value_unit": ratio(get("value_unit", 0), get("gold", 0)),
        "precision": ratio(get("value_unit", 0), get("given", 0)),
        "roles": ratio(get("roles_right", 0), get("roles", 0)),
        "status": ratio(get("status_right", 0), get("value_unit", 0)),
    }
