"""Where findings are told: by a term, an everyday verb, a part that is gone, a reflex, an act.

Words: ``lexicons/cues/found.toml``; rules: ``lexicons/rules/findings.toml``.
"""

from __future__ import annotations

from otochron.lexicon import Entry, Hit
from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import fits, members, of_finding, rules, value_of
from otochron.stages.case.pairing import is_of_another, places_of
from otochron.stages.case.scene import Act, Scene
from otochron.stages.case.told import STATES, State, Told, lasts, state_of, tell

_KINDS = frozenset({"finding", "disease", "complication"})
_PLACES = frozenset({"structure", "landmark"})
_REFLEX_AHEAD, _REFLEX_BEHIND, _REFLEX_BREAKS = 16, 3, 5
_NEAR = 14
_LAST_NAMED = 25
_PARTLY = 8
_CARRIED = 150
"""Words over which a denial without a place is of where the thing was told."""
_GONE = ("negation-thing", "answer-no", "gone")
_DENIAL = ("negation-thing", "answer-no", "negation-verb")


def all_told(scene: Scene) -> list[Told]:
    """Give every place that tells a finding, as spoken."""
    found = [*by_term(scene), *by_phrase(scene), *by_part(scene), *by_reflex(scene), *by_act(scene)]
    return sorted(found, key=lambda t: (t.first, t.finding, t.structure or ""))


def by_term(scene: Scene) -> list[Told]:
    """Give the findings that a term names: "the stapes is fixed"."""
    unwanted, reflexes = members(scene.lexicon, "not-found"), members(scene.lexicon, "reflex")
    reading = scene.reading
    found: list[Told] = []
    last: tuple[int, list[str]] = (-_NEAR, [])
    there: dict[str, tuple[str | None, int]] = {}  # told last where: a denial without a place is of there
    for spot in scene.reading.spots:
        concept = spot.concept
        if concept is None or concept in unwanted or scene.kind(spot) not in _KINDS or _is_elsewhere(scene, spot.first):
            continue
        state = _term_state(scene, spot)
        if state is None or spot.mention.kind == "reference" or _is_asked(scene, spot) or _is_phrased(scene, spot):
            continue
        if state != "uncertain" and _is_lesson(scene, spot.first):
            continue
        ruled = [*of_finding(scene.lexicon, "fits", concept)]
        if state == "absent":
            ruled += of_finding(scene.lexicon, "fits-denied", concept)
        if not ruled and scene.kind(spot) != "finding":
            continue
        structures = places_of(scene, (spot.first, spot.last), concept, denied=state == "absent")
        carried = spot.first - last[0] <= _NEAR and not _is_parted(scene, last[0], spot.first)
        if not structures and carried and not is_of_another(scene, (spot.first, spot.last), concept):
            structures = [s for s in last[1] if any(fits(scene.lexicon, rule, s) for rule in ruled)]
        where, told_at = there.get(concept, (None, -_CARRIED))
        if not structures and state == "absent" and where and spot.first - told_at <= _CARRIED:
            structures = [where]
        if reading.has(spot.first - 2, spot.first, "past-tense"):
            structures = [s for s in structures if s not in reflexes]  # "the reflex that was absent is there"
        if structures:
            last = spot.last, structures
        some = reading.cues(max(0, spot.first - _PARTLY), spot.first, "partly")
        partly = bool(some) and not reading.breaks(some[-1].first, spot.first)
        less = of_finding(scene.lexicon, "partly-gone", concept) if partly else ()
        what = next((str(rule.values["finding"]) for rule in less), concept)
        made = tell(scene, (spot.first, spot.last), what, structures, state)
        there |= {one.finding: (one.structure, spot.last) for one in made if one.state == "present"}
        found += made
    return found


def _is_parted(scene: Scene, first: int, last: int) -> bool:
    """Tell whether a structure is named between two findings: the later one is of that."""
    unfit = members(scene.lexicon, "no-structure")
    between = scene.reading.among(first, last)
    return any(s.mention.kind in ("structure", "landmark") and s.concept not in unfit for s in between)


def _is_asked(scene: Scene, spot: Spot) -> bool:
    """Tell whether a finding stands in words to the staff and no verb tells it: "the thin one", not "it is thin"."""
    return scene.is_request(spot) and not scene.reading.has(spot.first - 2, spot.first + 1, "finite")


def _is_elsewhere(scene: Scene, place: int) -> bool:
    """Tell whether another patient is told of, the instructions run, or a word that names no finding stands there."""
    step = scene.step_at(scene.reading.words[place].start_ms)
    instructed = step is not None and step.phase == "instructions-phase"
    if instructed and scene.reading.has(place, place + 1, "weak-finding"):
        return True  # "no plug, or a greasy cotton"
    reading = scene.reading
    after = reading.cues(place, place + 8, "other-patient")
    told_after = bool(after) and reading.breaks(place, after[0].first) == 0  # "I left a pearl in with another patient"
    return told_after or reading.has(place - 12, place, "other-patient") or reading.has(place, place + 1, "no-finding")


def _term_state(scene: Scene, spot: Spot) -> State | None:
    """Give how a named finding stands; a disease that is feared is doubtful, until it is looked for."""
    if spot.mention.status == "hypothetical" and scene.kind(spot) == "disease":
        return "uncertain" if scene.reading.has(spot.first - 7, spot.first, "feared") else None
    if lasts(scene, spot.first, spot.last, spot.mention.status, spot.concept or ""):
        return "present"
    state = state_of(scene, spot.first, spot.last, spot.mention.status)
    before = [s for s in scene.reading.among(spot.first - 5, spot.first) if spot.first - 1 <= s.last <= spot.first]
    denied = before and before[-1].mention.kind in _PLACES and _is_gone(scene, before[-1], "answer-no", "gone")
    return "absent" if denied and state == "present" else state  # "no dura laid bare"


def by_phrase(scene: Scene) -> list[Told]:
    """Give the findings that an everyday verb tells: "the malleus moves"."""
    reading = scene.reading
    found: list[Told] = []
    for hit in reading.hits("told"):
        if (
            _is_named(scene, hit)
            or reading.register(hit.first) in ("request", "aside")
            or _is_elsewhere(scene, hit.first)
        ):
            continue
        if reading.has(hit.first - 6, hit.first, "condition", "would") or _is_lesson(scene, hit.first):
            continue
        values = scene.lexicon[hit.concepts[0]].values
        finding, given = str(values["finding"]), values.get("structure")
        denied = reading.has(hit.first - 3, hit.first, *_DENIAL) or values.get("state") == "absent"
        state = "absent" if denied else state_of(scene, hit.first, hit.last, "affirmed")
        place = hit.first, hit.last
        places = [given] if isinstance(given, str) else places_of(scene, place, finding, told=True)
        found += tell(scene, place, finding, places, state or "uncertain")
    return found


def _is_lesson(scene: Scene, place: int) -> bool:
    """Tell whether what stands in a clause to viewers is told in general."""
    reading = scene.reading
    if reading.register(place) != "teaching":
        return False
    near = reading.among(*reading.statement(place))
    some = [s for s in near if s.mention.kind in _PLACES and reading.has(s.first - 1, s.first, "article")]
    return bool(some) or any(s.mention.status in ("general", "hypothetical") for s in near)


def _is_phrased(scene: Scene, spot: Spot) -> bool:
    """Tell whether a longer everyday phrase tells more than the term inside it ("pink and thin")."""
    hits = scene.reading.cues(max(0, spot.first - 2), spot.last, "told")
    return any(h.last - h.first > spot.last - spot.first and h.first < spot.last and spot.first < h.last for h in hits)


def _is_named(scene: Scene, hit: Hit) -> bool:
    """Tell whether a term already names what a phrase tells."""
    return any(
        s.first < hit.last
        and hit.first < s.last
        and scene.kind(s) == "finding"
        and s.last - s.first >= hit.last - hit.first
        for s in scene.reading.among(hit.first - 4, hit.last)
    )


def by_part(scene: Scene) -> list[Told]:
    """Give the parts that are said to be no more ("no arch"), and structures whose being there is the finding."""
    found: list[Told] = []
    parts = members(scene.lexicon, "denied-part")
    for spot in scene.reading.spots:
        status, concept = spot.mention.status, spot.concept
        if concept is None or spot.mention.kind == "reference":
            continue
        variant = value_of(scene.lexicon, "variant", concept)
        state: State | None = None
        if variant and status in ("negated", "uncertain"):
            found += tell(scene, (spot.first, spot.last), variant, [concept], STATES[status])
        elif concept in parts:
            if status in ("affirmed", "negated", "uncertain") and _is_unseen(scene, spot):
                state = "uncertain"
            elif status == "negated" and _is_gone(scene, spot):
                state = "present"
            found += tell(scene, (spot.first, spot.last), "absent", [concept], state) if state else []
    return found


def _is_gone(scene: Scene, spot: Spot, *roles: str) -> bool:
    """Tell whether the thing itself is denied ("no arch"), not the sight of it ("I do not see the arch")."""
    reading = scene.reading
    first = spot.first - 1 if reading.has(spot.first - 1, spot.first, "determiner", "preposition") else spot.first
    return any(
        hit.last in (first, spot.first) for hit in reading.cues(max(0, spot.first - 7), spot.first, *(roles or _GONE))
    )


def _is_unseen(scene: Scene, spot: Spot) -> bool:
    """Tell whether the surgeon says, right there, that it is not seen yet."""
    cues = scene.reading.cues(spot.last, spot.last + 2, "not-seen")
    return any(hit.first <= spot.last + 1 for hit in cues)


def by_reflex(scene: Scene) -> list[Told]:
    """Give the reflexes that were looked for: what is said next tells whether one is there."""
    found: list[Told] = []
    reading = scene.reading
    good = {concept: rule for rule in rules(scene.lexicon, "good-test") for concept in rule.of}
    spoken = {spot.concept for spot in reading.spots}
    # Impedances are also those of the facial monitor: they are of an implant only where one is spoken of.
    foreign = {test for rule in rules(scene.lexicon, "test-needs") if not spoken & set(rule.to) for test in rule.of}
    wanted = (members(scene.lexicon, "reflex") | set(good)) - foreign
    for spot in reading.spots:
        if spot.concept not in wanted or spot.mention.status not in ("affirmed", "uncertain"):
            continue
        first, last = max(0, spot.first - _REFLEX_BEHIND), spot.last + _REFLEX_AHEAD
        last = min([last, *(s.first for s in reading.among(spot.last, last) if s.concept in wanted)])
        hits = [
            hit
            for role in ("told-there", "told-none")
            for hit in reading.cues(first, last, role)
            if reading.breaks(hit.first, spot.first) <= _REFLEX_BREAKS
            and (hit.first >= spot.last or hit.last >= spot.first - 1)
            and not reading.has(hit.first - 2, hit.first, "past-tense")
        ]
        if not hits:
            continue
        best = min(hits, key=lambda h: (min(abs(h.first - spot.last), abs(spot.first - h.last)), h.first))
        there = scene.lexicon[best.concepts[0]].role == "told-there"
        finding = "present" if there else "absent"
        if spot.concept in good:
            if not there:
                continue
            finding = str(good[spot.concept].values["finding"])
        place = min(spot.first, best.first), max(spot.last, best.last)
        found += tell(scene, place, finding, [spot.concept or ""], "present")
    return found


def by_act(scene: Scene) -> list[Told]:
    """Give what an act leaves behind: "I keep it", "I cut the chorda"."""
    found: list[Told] = []
    for act in scene.acts:
        verb = act.verb
        for rule in of_finding(scene.lexicon, "act-finding", verb.concept or ""):
            target = _target(scene, act, rule)
            status = verb.mention.status
            forced = status == "planned" and scene.reading.has(verb.first - 4, verb.first, "necessity")
            finding = str(rule.values["finding"])
            forced = forced or lasts(scene, verb.first, verb.last, status, finding)
            state = "present" if forced else state_of(scene, verb.first, verb.last, status)
            if state and target and not scene.is_request(verb):
                found += tell(scene, (verb.first, verb.last), finding, [target], state)
    return found


def _target(scene: Scene, act: Act, rule: Entry) -> str | None:
    """Give what an act is done to: its object if the rule fits it, else what was named last and fits."""
    reading, verb, thing = scene.reading, act.verb, act.object
    if thing is not None and thing.concept and fits(scene.lexicon, rule, thing.concept):
        return thing.concept
    if thing is not None and thing.first >= verb.last and reading.breaks(verb.last, thing.first) == 0:
        return None
    before = [s for s in reading.among(verb.first - _LAST_NAMED, verb.first) if s.concept in rule.to]
    if not before:
        return None
    between = [s for s in reading.among(before[-1].last, verb.first) if scene.kind(s) == "structure"]
    return None if between else before[-1].concept
