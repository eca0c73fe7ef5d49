"""Instructions for afterwards: what, when, due when. Words: ``lexicons/cues/plan.toml``."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from datetime import date

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import members
from otochron.model import Item, Plan, Status, When
from otochron.stages.case.durations import Time, due, find_times
from otochron.stages.case.items import codes
from otochron.stages.case.scene import Scene
from otochron.stages.case.undone import is_before_the_operation, is_denied_as_a_kind

_KINDS = frozenset({"packing", "closure", "drug", "test", "procedure"})
_REMOVED = frozenset({"packing", "closure", "implant"})
"""Kinds that come out again; an implant is in the plan only where its removal is told."""
_ANYWHERE = frozenset({"procedure", "test"})
_REACH = 12
_BEFORE_ZONE = 60
_WHEN = ("after", "bare")
_LENGTHS = ("for", "every")
_AT_ONCE = 3
_ALONE_REACH = 7
_LAST_SHARE, _TAIL_SHARE = 0.4, 0.93
_LAST_PHASES = ("closure-phase", "instructions-phase", "verification-phase")
_FORBIDS = "no-"
_VISIT = "follow-up-visit"
_STARTS: tuple[Status, ...] = ("affirmed", "planned", "negated", "hypothetical")


@dataclass
class _Anchor:
    """A thing to be done or not to be done, at words ``first`` to ``last``."""

    first: int
    last: int
    what: str
    instruction: bool
    status: Status
    removal: bool = False
    times: list[Time] = field(default_factory=list)


def find_plan(scene: Scene, packing: tuple[Item, ...] = ()) -> tuple[Plan, ...]:
    """Give the instructions, each once, with the times that were said for it.

    Notes
    -----
    A time belongs to the thing named before it in the same breath, else to the one named right after. A
    prohibition without a time next to one that has a time shares it. Said again in the other language, an
    instruction keeps its times and gains evidence.
    """
    times = find_times(scene.reading, scene.lexicon)
    anchors = _anchors(scene, times)
    _attach(scene, anchors, times)
    _share(scene, anchors)
    _name_packs(scene, anchors, packing)
    merged: dict[tuple[str, str | None], list[_Anchor]] = {}
    for anchor in anchors:
        if anchor.instruction or anchor.times or anchor.removal or anchor.status == "planned":
            merged.setdefault((anchor.what, None), []).append(anchor)
    return tuple(sorted((_plan(scene, group) for group in merged.values()), key=lambda p: p.evidence[0].start_ms))


def _zone(scene: Scene) -> int:
    """Give the word at which the instructions begin: where they are announced and nothing is operated after."""
    reading = scene.reading
    total = len(reading.words)
    places = [
        reading.places.first(step.evidence[0])
        for step in scene.done_steps
        if step.step == "give-instructions" and step.evidence
    ]
    last_act = max((s.start_ms for s in scene.done_steps if s.phase not in _LAST_PHASES), default=-1)
    places += [hit.first for hit in reading.hits("plan-begins") if reading.words[hit.first].start_ms > last_act]
    late = [place for place in places if place >= total * _LAST_SHARE or last_act < 0]
    return min(late) if late else round(total * _TAIL_SHARE)


def _anchors(scene: Scene, times: list[Time]) -> list[_Anchor]:
    reading = scene.reading
    zone = _zone(scene)
    found: list[_Anchor] = []
    for hit in reading.hits("instruction"):
        if reading.register(hit.first) == "aside":
            continue
        near = any(abs(t.first - hit.last) <= _ALONE_REACH for t in times)
        anywhere = near and (hit.first > zone // 2 or hit.concepts[0].startswith(_FORBIDS))
        if hit.first < zone and not anywhere:
            continue
        found.append(_Anchor(hit.first, hit.last, hit.concepts[0], True, "planned"))
    covered = {n for a in found for n in range(a.first, a.last)}
    for spot in reading.spots:
        kind = scene.kind(spot)
        if spot.concept is None or spot.first in covered or spot.mention.status not in _STARTS:
            continue
        removal = kind in _REMOVED and reading.has(spot.first - 3, spot.last + 3, "plan-removal")
        removal = removal or (kind == "packing" and _stays_for(scene, spot, times))
        if kind not in _KINDS and not removal:
            continue
        if spot.first < zone:
            timed = any(0 <= t.first - spot.last <= _ALONE_REACH and t.part in _WHEN for t in times)
            late = kind in _ANYWHERE or (spot.first > zone - _BEFORE_ZONE and kind in ("packing", "closure"))
            at_once = any(0 <= t.first - spot.last <= _AT_ONCE and t.part in _LENGTHS for t in times)
            late = (late and timed and (spot.mention.status == "planned" or removal)) or (removal and timed)
            if not late and not (at_once and spot.mention.status == "planned"):
                continue
        if kind == "drug" and (spot.concept in members(scene.lexicon, "no-drug") or is_denied_as_a_kind(scene, spot)):
            continue
        if spot.mention.status == "hypothetical" or is_before_the_operation(scene, spot):
            continue
        meant = removal or (spot.mention.status == "planned" and kind in _ANYWHERE and spot.first < zone)
        if reading.register(spot.first) in ("teaching", "aside") and not meant:
            continue  # "in ten days the sponge is gone", "next time with a scan"
        status = spot.mention.status
        found.append(_Anchor(spot.first, spot.last, spot.concept, False, status, removal))
    return sorted(found, key=lambda a: (a.first, a.last))


def _stays_for(scene: Scene, spot: Spot, times: list[Time]) -> bool:
    """Tell whether a pack of the canal is told with how long it stays: "the wick, two days"."""
    if spot.concept not in members(scene.lexicon, "same-pack") or spot.mention.status not in ("affirmed", "planned"):
        return False
    return any(t.first == spot.last and t.part in ("bare", "for") for t in times)


def _name_packs(scene: Scene, anchors: list[_Anchor], packing: tuple[Item, ...]) -> None:
    """Call a pack to be taken out what it was called when it was put in."""
    family = members(scene.lexicon, "same-pack")
    put_in = [i.concept for i in packing if i.concept in family and i.status == "affirmed"]
    for anchor in anchors:
        if anchor.what in family and put_in and anchor.what not in put_in:
            anchor.what = put_in[-1] or anchor.what


def _attach(scene: Scene, anchors: list[_Anchor], times: list[Time]) -> None:
    """Give each time to the thing named before it in the same breath, else to the one right after."""
    reading = scene.reading
    for time in times:
        usual = reading.cues(max(0, time.first - 8), time.first, "plan-usual", "past-case")
        if any(not reading.has(hit.last, time.first, "turn", "contrast") for hit in usual):
            continue
        before = [a for a in anchors if a.last <= time.first and time.first - a.last <= _REACH]
        if before and _is_of_another(scene, before[-1], time):
            continue
        if before and reading.has(before[-1].last, time.first, "plan-tonight"):
            continue  # "bed rest tonight, up tomorrow"
        if before:
            visits = [a for a in before if a.what == _VISIT]
            often = time.part in ("every", "event") and visits and before[-1].what != _VISIT
            (visits if often and scene.kind_of(before[-1].what) == "test" else before)[-1].times.append(time)
            continue
        after = [a for a in anchors if time.last <= a.first <= time.last + _ALONE_REACH]
        if after and reading.breaks(time.last - 1, after[0].first) and _has_its_own(after[0], times):
            continue
        if reading.has(time.first - 3, time.first, "plan-removal") or (
            after and time.part == "after" and after[0].what.startswith(_FORBIDS)
        ):
            continue  # "the ribbon out in two days, the sponge stays"; "silicone at three weeks, no nose blowing"
        if after and not reading.has(time.last, after[0].first, "turn", "contrast"):
            after[0].times.append(time)


def _has_its_own(anchor: _Anchor, times: list[Time]) -> bool:
    """Tell whether a time is told after a thing: "she leaves tomorrow | the wick comes out on day twelve"."""
    return any(0 <= time.first - anchor.last <= _ALONE_REACH for time in times)


def _is_of_another(scene: Scene, anchor: _Anchor, time: Time) -> bool:
    """Tell whether another thing is named in a new statement between: "only paracetamol | the result in ten days"."""
    reading = scene.reading
    for hit in reading.cues(anchor.last, time.first, "negation-thing", "answer-no"):
        if time.part in ("for", "bare") and 1 <= time.first - hit.last <= 2 and not reading.among(hit.last, time.first):
            return True  # "drops from day seven, no hockey for four weeks": a prohibition of what no list knows
    return any(
        reading.breaks(anchor.last - 1, spot.first) and not reading.breaks(spot.last - 1, time.first)
        for spot in reading.among(anchor.last, time.first)
        if spot.concept and scene.kind(spot) not in ("side", "action", "position")
    )


def _share(scene: Scene, anchors: list[_Anchor]) -> None:
    """Give a prohibition that has no time the length of the one just before it."""
    reading = scene.reading
    for one, two in reversed([*itertools.pairwise(anchors)]):
        lengths = [t for t in two.times if t.part == "for"]
        listed = 0 <= two.first - one.last <= 2 and not one.times
        if listed and lengths and all(a.instruction and a.what.startswith(_FORBIDS) for a in (one, two)):
            one.times = lengths  # "no straining no flying for six weeks"
    for one, two in itertools.pairwise(anchors):
        lengths = [t for t in one.times if t.part in ("for", "bare")]
        if reading.has(two.last, two.last + 2, "plan-until"):
            continue  # "no flying for six weeks, no diving until I say so"
        both = all(a.instruction and a.what.startswith(_FORBIDS) for a in (one, two))
        if one.what == _VISIT and two.times and not one.times and two.first - one.last <= _ALONE_REACH:
            one.times = [t for t in two.times if t.part == "after"]
        if both and lengths and not two.times and two.first - one.last <= _REACH:
            two.times = lengths


def _plan(scene: Scene, group: list[_Anchor]) -> Plan:
    first = next((a for a in group if a.times), group[0])
    removal = any(a.removal for a in group)
    when: dict[str, str | None] = {}
    attributes: dict[str, str | int | float | bool | None] = {}
    for anchor in group:
        for time in anchor.times:
            part = time.part
            if part == "event":
                attributes.setdefault("until", time.value)
                continue
            if part == "for" and removal:
                part = "after"  # "the wick for two days"
            if part == "bare":
                once = anchor.what in members(scene.lexicon, "done-once")
                part = (
                    "after" if removal or once or (not anchor.instruction and _kind(scene, anchor) != "drug") else "for"
                )
            if time.low:
                when.setdefault("low", time.low)
                when.setdefault("high", time.high)
            elif part not in when and time.value:
                when[part] = time.value
    if removal:
        attributes["act"] = "removal"
    last = max([first.last, *(t.last for t in first.times)])
    begin = min([first.first, *(t.first for t in first.times)])
    spans = [
        scene.reading.span(min([a.first, *(t.first for t in a.times)]), max([a.last, *(t.last for t in a.times)]))
        for a in group
    ]
    status: Status = "negated" if all(a.status == "negated" for a in group) else "planned"
    return Plan(
        concept=first.what,
        what=first.what,
        status=status,
        attributes=dict(sorted(attributes.items())),
        codes=codes(first.what, scene.lexicon),
        evidence=tuple(spans),
        when=When(
            after=when.get("after"),
            until=when.get("until"),
            every=when.get("every"),
            low=when.get("low"),
            high=when.get("high"),
            **{"for": when.get("for")},
        ),
        due=_due(scene, when),
        purpose=_purpose(scene, begin, last),
        text=scene.reading.text(max(0, begin - 3), min(len(scene.reading.words), last + 3)),
    )


def _kind(scene: Scene, anchor: _Anchor) -> str:
    return scene.kind_of(anchor.what)


def _due(scene: Scene, when: dict[str, str | None]) -> str | None:
    given = scene.record.made_by.options.get("date")
    after = when.get("after") or when.get("low")
    if not given or not after:
        return None
    day = due(date.fromisoformat(str(given)), after)
    return day.isoformat() if day else None


def _purpose(scene: Scene, first: int, last: int) -> str | None:
    """Give the reason said right after it, in the surgeon's words."""
    reading = scene.reading
    for hit in reading.cues(first, last + 6, "reason"):
        end = hit.last
        while end < len(reading.words) and end - hit.last < 10 and reading.breaks(hit.last - 1, end) <= 1:
            end += 1
        # Thanks, a courtesy or a filler after it speak to somebody else.
        end = min([end, *(h.first for h in reading.cues(hit.last, end, "thanks", "courtesy", "filler"))])
        return reading.text(hit.first, end)
    return None
