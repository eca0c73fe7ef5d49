"""What is asked of the staff. Words: ``lexicons/cues/requests.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import named, rules
from otochron.model import Request, Side
from otochron.stages.case.items import codes
from otochron.stages.case.scene import Scene

_NEAR = 6
_SAME_MS = 12_000
_BARE_WORDS = 3
_LEAD, _TAIL = 4, 7
_WARNING = ("caution", "negation-without", "negation-thing", "negation-verb", "habit-adverb")
_NOT_NOW = ("past", "general", "hypothetical", "negated", "retracted")


def find_requests(scene: Scene) -> tuple[Request, ...]:
    """Give each thing asked for, once, with the language in which it was asked first.

    Notes
    -----
    A thing is asked for in words to the staff, next to a word of asking or of courtesy, or named all alone.
    """
    kinds = {kind for entry in rules(scene.lexicon, "requestable-kind") for kind in named(entry, "kinds")}
    found: list[Request] = []
    for spot in scene.reading.spots:
        if scene.kind(spot) not in kinds or spot.concept is None or not _is_asked(scene, spot):
            continue
        before = next((r for r in reversed(found) if r.what == spot.concept), None)
        if before and spot.mention.start_ms - before.evidence[-1].start_ms <= _SAME_MS:
            found[found.index(before)] = before.evolve(evidence=(*before.evidence, scene.span(spot)))
            continue
        found.append(_request(scene, spot, scene.side_at(spot.first)))
    return tuple(sorted([*found, *_sized(scene, found)], key=lambda r: (r.start_ms, r.what or "")))


def _is_asked(scene: Scene, spot: Spot) -> bool:
    reading = scene.reading
    if spot.mention.kind == "reference" or spot.mention.status in _NOT_NOW or _is_warned_of(scene, spot):
        return False
    if reading.register(spot.first) == "request":
        put = reading.has(spot.last, spot.last + 1, "placing")
        return not (put or reading.after_preposition(spot.first)) or _asked_beside(scene, spot, "asking")
    return _asked_beside(scene, spot, "outright") or (scene.kind(spot) == "instrument" and _stands_alone(scene, spot))


def _is_warned_of(scene: Scene, spot: Spot) -> bool:
    """Tell whether a word of denial or warning stands right before a thing: "never suction", "jamais d'aspirateur"."""
    hits = scene.reading.cues(max(0, spot.first - _BARE_WORDS), spot.first, *_WARNING)
    return any(not scene.reading.among(hit.first, spot.first) and spot.first - hit.last <= 1 for hit in hits)


def _asked_beside(scene: Scene, spot: Spot, asking: str) -> bool:
    """Tell whether a word of asking stands right before a thing, or a word of courtesy right after it."""
    reading = scene.reading
    for hit in reading.cues(max(0, spot.first - _NEAR), spot.first, asking, "asking-too"):
        if spot.first - hit.last <= _BARE_WORDS and reading.breaks(hit.last - 1, spot.first) == 0:
            return True
    for hit in reading.cues(spot.last, spot.last + _BARE_WORDS + 1, "courtesy"):
        stops = any(word.mark == "." for word in reading.words[spot.last - 1 : hit.first])
        if _names_another(scene, spot.last, hit.first):
            continue
        if not stops and reading.breaks(spot.last - 1, hit.first) <= 1:
            return True
    return False


def _names_another(scene: Scene, first: int, last: int) -> bool:
    """Tell whether some words name another thing, which "and" does not join to the one before."""
    reading = scene.reading
    return bool(reading.among(first, last)) and not reading.has(first, last, "addition", "coordinator")


def _stands_alone(scene: Scene, spot: Spot) -> bool:
    """Tell whether an instrument is named alone: no preposition or verb leads it in, and no verb follows."""
    reading = scene.reading
    if reading.has(spot.last, spot.last + 1, "particle", "finite", "placing") or _tells_of(scene, spot.last):
        return False
    if reading.after_preposition(spot.first) or _joins_a_tool(scene, spot) or _is_looked_at(scene, spot):
        return False
    first = spot.first
    while first > 0 and spot.first - first < _LEAD and reading.breaks(first - 1, first) == 0:
        first -= 1
    if _has_verb(scene, first, spot.first):
        return False
    last = spot.last
    while last < len(reading.words) and last - spot.last < _TAIL and reading.breaks(last - 1, last) == 0:
        if reading.among(last, last + 1) and not _has_verb(scene, last, last + 1):
            return True
        last += 1
    return not _has_verb(scene, spot.last, last)


def _tells_of(scene: Scene, place: int) -> bool:
    """Tell whether what follows tells of the thing itself: "les compresses c'est bon"."""
    reading = scene.reading
    return any(hit.last > place + 1 for hit in reading.cues(place, place + 1, "pointing"))


def _joins_a_tool(scene: Scene, spot: Spot) -> bool:
    """Tell whether "and" joins a thing to one that a preposition leads in: "avec le décolleur et un petit coton"."""
    reading = scene.reading
    joins = reading.cues(max(0, spot.first - _BARE_WORDS), spot.first, "addition")
    before = reading.among(max(0, joins[-1].first - _BARE_WORDS), joins[-1].first) if joins else []
    return bool(before) and before[-1].last == joins[-1].first and reading.after_preposition(before[-1].first)


def _is_looked_at(scene: Scene, spot: Spot) -> bool:
    """Tell whether a thing is pointed at: "regarde ce fil"."""
    return any(spot.first - hit.last <= 1 for hit in scene.reading.cues(spot.first - _BARE_WORDS, spot.first, "deixis"))


def _has_verb(scene: Scene, first: int, last: int) -> bool:
    reading = scene.reading
    if reading.has(first, last, "finite", "existence"):
        return True
    return any(s.mention.kind == "action" for s in reading.among(first, last))


def _sized(scene: Scene, found: list[Request]) -> list[Request]:
    """Give what is asked for by its size alone: "give me a three"."""
    reading = scene.reading
    more: list[Request] = []
    for size in reading.sizes:
        what, measurement = size.measurement.of, size.measurement
        entry = scene.lexicon.get(what)
        if entry is None or entry.kind != "instrument" or measurement.status in _NOT_NOW:
            continue
        if measurement.quantity != "size":
            continue
        asked = reading.cues(max(0, size.first - _NEAR), size.first, "asking", "asking-too")
        if not asked or reading.breaks(asked[-1].last, size.first) > 0 or reading.among(asked[-1].last, size.first):
            continue
        if any(r.what == what and abs(r.start_ms - measurement.start_ms) <= _SAME_MS for r in [*found, *more]):
            continue
        more.append(
            Request(
                concept=what,
                what=what,
                side=scene.side_at(size.first),
                codes=codes(what, scene.lexicon),
                evidence=(measurement.span(),),
                start_ms=measurement.start_ms,
                language=reading.words[size.first].language,
            )
        )
    return more


def _request(scene: Scene, spot: Spot, side: Side | None) -> Request:
    return Request(
        concept=spot.concept,
        what=spot.concept,
        side=side,
        codes=codes(spot.concept, scene.lexicon),
        evidence=(scene.span(spot),),
        start_ms=spot.mention.start_ms,
        language=spot.mention.language,
    )
