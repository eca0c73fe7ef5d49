"""Which structure a finding is of: the nearest one that fits, in the statement, before it, or in hand."""

from __future__ import annotations

from otochron.lexicon import Entry
from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import closure, fits, members, named, of_finding, rules, value_of
from otochron.stages.case.scene import Scene

_STRUCTURES = frozenset({"structure", "landmark", "implant", "graft", "finding", "test", "instrument"})
_REACH = 18
_NEAR_REACH = 10
_AHEAD = 7
_COST_OF_BREAK = 5
_COST_AHEAD = 3
_LIST_GAP = 2
_OWNER_AHEAD = 4
_AT_HAND = 5
_MISTAKEN_AHEAD = 6
_DENIED = ("negation-thing", "negation-verb", "answer-no")
_OWN = frozenset({"instrument", "implant", "graft", "material", "packing"})
_SIZE_REACH = 14
_COST_OF_OWN = 8
_COST_OF_PLACE = 6
"""A noun after a preposition is where something is, seldom what is told of."""
_COST_AWAY = 12
"""What may be paid beside the words between: a finding is of nothing that costs more."""


def places_of(
    scene: Scene, place: tuple[int, int], finding: str, *, denied: bool = False, told: bool = False
) -> list[str]:
    """Give the structures that a finding is of; none if it is of nothing known.

    Parameters
    ----------
    scene : Scene
        The recording.
    place : tuple of int
        Words of the finding (half-open).
    finding : str
        What was found.
    denied : bool
        It was said not to be there: a denial without a place may have a place of its own.
    told : bool
        It was told by an everyday verb: it never has a place that was not named.
    """
    first, last = place
    found_rules = list(of_finding(scene.lexicon, "fits", finding))
    if denied:
        found_rules += of_finding(scene.lexicon, "fits-denied", finding)
    rule = found_rules[0] if found_rules else None
    default = next((d for entry in found_rules if (d := entry.values.get("default"))), None)
    # A finding that has a place of its own looks only near for another.
    near = default or told  # an everyday phrase is of what stands near
    reach = _AHEAD if default == "in-hand" else _number(rule, "reach", _NEAR_REACH if near else _REACH)
    if scene.reading.has(first, last, "at-hand"):
        reach = _AT_HAND
    between = _between(scene, last, rule)
    if between:
        return between
    if owner := _owner(scene, last, found_rules):
        return _listed(scene, owner[0], first, owner[1])
    unfit = (told and _leads_what_does_not_fit(scene, last, rule)) or _is_mistaken_for(scene, last)
    if unfit or _is_of_another(scene, first, last, finding, rule):
        return _own_place(scene, first, found_rules) if denied else []
    choices: list[Entry | None] = [*found_rules] or [None]
    for entry in choices:
        best = _best(scene, first, last, entry, _number(entry, "reach", reach) if entry is not rule else reach)
        if best is not None:
            return _listed(scene, best, first, entry)
    if told or (not denied and last - first == 1 and scene.reading.has(first, last, "weak-finding")):
        return []
    return _own_place(scene, first, found_rules)


def _owner(scene: Scene, last: int, found_rules: list[Entry]) -> tuple[Spot, Entry] | None:
    """Give the structure that a noun of a finding is said to be of: "erosion of the long process"."""
    reading = scene.reading
    if not reading.has(last, last + 1, "owner-lead"):
        return None
    for spot in reading.among(last + 1, last + _OWNER_AHEAD):
        for rule in found_rules:
            if _candidate(scene, spot, rule) and not reading.breaks(last - 1, spot.first):
                return spot, rule
    return None


def is_of_another(scene: Scene, place: tuple[int, int], finding: str) -> bool:
    """Tell whether a finding is told of a thing that none of its rules fit: "thin cartilage"."""
    rule = next(of_finding(scene.lexicon, "fits", finding), None)
    return _is_mistaken_for(scene, place[1]) or _is_of_another(scene, *place, finding, rule)


def _own_place(scene: Scene, first: int, found_rules: list[Entry]) -> list[str]:
    """Give the place that is meant where none is named: what is in hand, or where such a thing always is."""
    step = scene.step_at(scene.reading.words[first].start_ms)
    for entry in found_rules:
        default = entry.values.get("default")
        phase = entry.values.get("default_phase")
        if phase and (step is None or step.phase != phase):
            continue  # "a sclerotic rim" of a drum is no mastoid
        if default == "in-hand":
            held = _held(scene, first, entry)
            return [held] if held else []
        measured = entry.values.get("measured")
        if isinstance(default, str) and default and (measured is None or _is_measured(scene, first, str(measured))):
            return [default]
    return []


def _is_measured(scene: Scene, first: int, what: str) -> bool:
    """Tell whether a size of something was told right before."""
    return any(z.measurement.of == what and 0 <= first - z.first <= _SIZE_REACH for z in scene.reading.sizes)


def _number(rule: Entry | None, name: str, otherwise: int) -> int:
    value = rule.values.get(name) if rule else None
    return value if isinstance(value, int) else otherwise


def _candidate(scene: Scene, spot: Spot, rule: Entry | None) -> str | None:
    """Give the structure that a mention offers for a rule, or None."""
    concept = spot.concept
    if concept is None or scene.kind(spot) not in _STRUCTURES or (rule and _is_barred(scene, spot, rule)):
        return None
    if spot.mention.status in ("past", "retracted") or concept in members(scene.lexicon, "no-structure"):
        return None
    if rule is None:
        return concept if scene.kind(spot) in ("structure", "landmark") else None
    other = value_of(scene.lexicon, "stands-for", concept)
    if other and fits(scene.lexicon, rule, other):
        return other
    return concept if fits(scene.lexicon, rule, concept) else None


def _is_barred(scene: Scene, spot: Spot, rule: Entry) -> bool:
    """Tell whether a rule leaves out a mention: what it excepts, a pronoun, what is not there at all."""
    if spot.concept in named(rule, "except"):
        return True
    if rule.values.get("named") and spot.mention.kind == "reference":
        return True
    return bool(rule.values.get("there")) and spot.mention.status == "negated" and scene.kind(spot) == "finding"


def _best(scene: Scene, first: int, last: int, rule: Entry | None, reach: int) -> Spot | None:
    reading = scene.reading
    limit = reach if rule else 8
    choices: list[tuple[float, int, Spot]] = []
    for spot in reading.among(first - limit, first):
        if spot.last > first or _candidate(scene, spot, rule) is None:
            continue
        if rule and rule.values.get("default") and _is_spent(scene, spot, first):
            continue
        gap = first - spot.last
        if gap and spot.mention.status == "negated" and reading.has(spot.first - 2, spot.first, *_DENIED):
            continue  # "not skin and granulation"
        breaks = 0 if _is_relative(scene, spot.last, first) else min(3, reading.breaks(spot.last - 1, first))
        cost: float = gap + (_COST_OF_BREAK * breaks if gap else min(breaks, 1))
        if gap and reading.after_preposition(spot.first):
            cost += _COST_OF_PLACE
        choices.append((cost, -spot.first, spot))
    for spot in reading.among(last, last + _AHEAD):
        if _candidate(scene, spot, rule) is None or reading.breaks(last - 1, spot.first) > 0:
            continue
        if reading.has(last, spot.first, "addition", "coordinator", "mistaken", *_DENIED):
            continue  # "granulation, not skin"; "it bleeds, i thought it was the sinus"
        cost = (spot.first - last) + _COST_AHEAD + (_COST_OF_OWN if _has_own(scene, spot) else 0)
        cost += (
            _COST_OF_OWN if reading.has(first - 3, first, "finite") else 0
        )  # "it is in one piece": told of what went before
        choices.append((cost, -spot.first, spot))
    if not choices:
        return None
    cost, _, spot = min(choices, key=lambda c: c[:2])
    return spot if cost <= limit + _COST_AWAY else None


def _is_relative(scene: Scene, first: int, last: int) -> bool:
    """Tell whether a relative pronoun follows a thing at once, and no other break: "a drum that's stuck"."""
    reading = scene.reading
    return reading.has(first, first + 1, "relative") and reading.breaks(first, last) == 0


def _is_spent(scene: Scene, spot: Spot, first: int) -> bool:
    """Tell whether a structure has had its finding in a clause before: what comes next is of its own place."""
    reading = scene.reading
    here = reading.piece_number(first)
    between = reading.among(spot.last, first)
    return any(scene.kind(s) == "finding" and reading.piece_number(s.first) != here for s in between)


def _has_own(scene: Scene, spot: Spot) -> bool:
    """Tell whether a finding follows a structure at once: that one is told of it."""
    after = scene.reading.among(spot.last, spot.last + 3)
    return any(scene.kind(s) == "finding" and s.mention.kind != "reference" for s in after)


def _leads_another(scene: Scene, first: int, last: int, rule: Entry) -> bool:
    """Tell whether a describing word stands right before a thing of its own: "thin cartilage"."""
    reading = scene.reading
    after = [s for s in reading.among(last, last + 1) if scene.kind(s) in _OWN and s.mention.kind != "reference"]
    if not after or reading.words[first].language != "en" or reading.breaks(last - 1, last):
        return False
    return _candidate(scene, after[0], rule) is None and not reading.has(first - 2, first, "finite")


def _is_mistaken_for(scene: Scene, last: int) -> bool:
    """Tell whether what was taken for the thing is told right after: "it bleeds, I thought it was the sinus"."""
    reading = scene.reading
    for hit in reading.cues(last, last + _MISTAKEN_AHEAD, "mistaken"):
        between = [s for s in reading.among(last, hit.first) if scene.kind(s) == "finding"]
        after = reading.among(hit.last, hit.last + _MISTAKEN_AHEAD)
        if after and not between and after[0].concept and scene.kind(after[0]) in ("structure", "landmark"):
            told = reading.among(after[0].last, hit.last + 2 * _MISTAKEN_AHEAD)
            return not any(scene.kind(s) == "finding" for s in told)  # else it tells of that thing
    return False


def _leads_what_does_not_fit(scene: Scene, last: int, rule: Entry | None) -> bool:
    """Tell whether an everyday word stands right before a thing that it is said of: "petit cholestéatome"."""
    after = [s for s in scene.reading.among(last, last + 1) if s.concept and scene.kind(s) not in ("action", "side")]
    return bool(after) and not scene.reading.breaks(last - 1, last) and _candidate(scene, after[0], rule) is None


def _has_its_own(scene: Scene, first: int, rule: Entry) -> bool:
    """Tell whether a thing that the rule does not fit has the finding: "a shoe with a hole"."""
    reading = scene.reading
    hits = [h for h in reading.cues(max(0, first - 3), first, "having") if not reading.among(h.last, first)]
    if not hits or reading.breaks(hits[-1].first - 1, first):
        return False
    before = [s for s in reading.among(hits[-1].first - 6, hits[-1].first) if s.last == hits[-1].first]
    return bool(before) and scene.kind(before[-1]) in _OWN and _candidate(scene, before[-1], rule) is None


def _is_of_another(scene: Scene, first: int, last: int, finding: str, rule: Entry | None) -> bool:
    """Tell whether what stands right before is a thing that the rule does not fit: the finding is of that."""
    if rule and (_leads_another(scene, first, last, rule) or _has_its_own(scene, first, rule)):
        return True
    before = [s for s in scene.reading.among(first - 6, first) if first - 1 <= s.last <= first]
    before = before or _subject(scene, first)
    if not before or rule is None or _candidate(scene, before[-1], rule):
        return False
    spot = before[-1]
    if spot.concept is None and scene.reading.breaks(spot.last - 1, first):
        return False
    if scene.kind(spot) in _OWN and spot.last == first and spot.mention.kind != "reference":
        return True  # "aspirateur très fin", "plateau perforé"
    things = {c for entry in rules(scene.lexicon, "thing-of-its-own") if finding in entry.to for c in entry.of}
    place = spot.mention.kind in ("structure", "landmark") and spot.concept not in members(
        scene.lexicon, "no-structure"
    )
    told = spot.last == first or scene.reading.has(spot.last, first, "finite")
    return (place and (spot.concept is None or told)) or spot.concept in things


def _subject(scene: Scene, first: int) -> list[Spot]:
    """Give the thing right before the verb of which a word is the predicate: "le manche est tout rétracté"."""
    reading = scene.reading
    verbs = reading.cues(max(0, first - 3), first, "being")
    if not verbs or reading.breaks(verbs[-1].first - 1, first):
        return []
    return [s for s in reading.among(verbs[-1].first - 6, verbs[-1].first) if s.last == verbs[-1].first][-1:]


def _between(scene: Scene, last: int, rule: Entry | None) -> list[str]:
    """Give the two things that a band runs between."""
    cues = scene.reading.cues(last, last + 2, "plan-between")
    if not cues:
        return []
    spots = scene.reading.among(cues[0].last, cues[0].last + 9)
    return [name for s in spots if (name := _candidate(scene, s, rule))][:2]


def _listed(scene: Scene, best: Spot, first: int, rule: Entry | None) -> list[str]:
    """Give the structure and those listed with it: "malleus, incus, stapes, everything is mobile"."""
    reading = scene.reading
    found = [best]
    if best.first < first and best.mention.kind != "reference":
        spots = [s for s in reading.among(best.first - 12, best.first) if s.last <= best.first]
        for spot in reversed(spots):
            gap = found[0].first - spot.last
            if gap > _LIST_GAP or gap < 0 or spot.mention.kind == "reference" or _candidate(scene, spot, rule) is None:
                break
            if reading.breaks(spot.last - 1, found[0].first) or not _is_joint(scene, spot.last, found[0].first):
                break
            found.insert(0, spot)
    names = list(dict.fromkeys(name for spot in found if (name := _candidate(scene, spot, rule))))
    # "the facial nerve, third part": the part is meant, not both.
    return [n for n in names if not any(n != m and n in closure(scene.lexicon, m) for m in names)]


def _is_joint(scene: Scene, first: int, last: int) -> bool:
    """Tell whether two things stand side by side, or only words that join stand between them."""
    if first == last:
        return True
    reading = scene.reading
    joints = reading.cues(first, last, "coordinator", "addition")
    covered = {n for hit in [*joints, *reading.cues(first, last, "determiner")] for n in range(hit.first, hit.last)}
    return bool(joints) and all(n in covered for n in range(first, last))


def _held(scene: Scene, first: int, rule: Entry) -> str | None:
    """Give the last thing in hand that a rule fits: an implant before a graft."""
    reach = _number(rule, "reach", _REACH)
    held = [
        (scene.kind(spot) == "implant", spot.first, concept)
        for spot in scene.reading.among(first - reach * 2, first)
        if (concept := _candidate(scene, spot, rule)) and spot.mention.status in ("affirmed", "planned")
    ]
    return max(held)[-1] if held else None
