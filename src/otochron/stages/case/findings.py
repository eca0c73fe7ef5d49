"""Findings per structure, with their history. Rules: ``lexicons/rules/findings.toml``, ``lexicons/cues/found.toml``."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from otochron.lexicon import Hit
from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import fits, members, named, of_finding, rules, value_of
from otochron.model import Finding, Seen, Side, Span, Status
from otochron.stages.case.items import codes, unique
from otochron.stages.case.pairing import places_of
from otochron.stages.case.scene import Scene

State = Literal["present", "absent", "uncertain"]
_STATES: dict[Status, State] = {"affirmed": "present", "negated": "absent", "uncertain": "uncertain"}
_KINDS = frozenset({"finding", "disease", "complication"})
_REFLEX_AHEAD, _REFLEX_BEHIND = 16, 3
_NEAR = 14
_DENIAL = ("negation-thing", "answer-no", "negation-verb")


@dataclass(frozen=True, slots=True)
class Told:
    """One place that tells a finding: words ``first`` to ``last``, what, where, and how it stands."""

    first: int
    last: int
    finding: str
    structure: str | None
    state: State
    span: Span
    side: Side | None


@dataclass
class _Known:
    structure: str | None
    finding: str
    side: Side | None
    seen: list[tuple[State, Span]] = field(default_factory=list)


def find_findings(scene: Scene) -> tuple[Finding, ...]:
    """Give the findings, each with the states in the order in which they were told.

    Notes
    -----
    What is told of the same structure again adds to one finding; the last state holds. When the opposite is
    told later ("fixed", then "mobile"), the first is no longer so. What was feared, planned, usual or of
    another day is no finding.
    """
    told = sorted(
        [*_named(scene), *_phrases(scene), *_parts(scene), *_reflexes(scene), *_acts(scene)],
        key=lambda t: (t.first, t.finding, t.structure or ""),
    )
    known: dict[tuple[str | None, str, Side | None], _Known] = {}
    opposite = {name: named(entry, name) for entry in rules(scene.lexicon, "opposite") for name in entry.values}
    for one in told:
        key = (one.structure, one.finding, one.side)
        known.setdefault(key, _Known(*key)).seen.append((one.state, one.span))
        if one.state == "present":
            for name in opposite.get(one.finding, ()):
                other = known.get((one.structure, name, one.side))
                if other and other.seen[-1][0] != "absent":
                    other.seen.append(("absent", one.span))
    return tuple(_finding(scene, found) for found in known.values())


def _finding(scene: Scene, found: _Known) -> Finding:
    history: list[Seen] = []
    for state, span in found.seen:
        if history and history[-1].status == state:
            history[-1] = history[-1].evolve(evidence=unique([*history[-1].evidence, span]))
        else:
            history.append(Seen(status=state, evidence=(span,)))
    concept = found.structure or found.finding
    return Finding(
        concept=concept,
        side=found.side,
        structure=found.structure,
        finding=found.finding,
        status=found.seen[-1][0],
        history=tuple(history),
        codes=codes(concept, scene.lexicon),
        evidence=unique(span for _, span in found.seen),
    )


def _state(scene: Scene, first: int, last: int, status: Status) -> State | None:
    """Give how a finding stands: what was only thought is doubtful, and absent where "but no" follows."""
    state = _STATES.get(status)
    if state == "present" and scene.reading.has(first - 5, first, "feared"):
        return "uncertain"
    if state == "present" and scene.reading.has(first - 8, first, "mistaken"):
        return "absent" if scene.reading.has(last, last + 6, "but-no") else "uncertain"
    return state


def _told(scene: Scene, first: int, last: int, finding: str, structures: list[str], state: State) -> list[Told]:
    side = scene.side_at(first)
    span = scene.reading.span(first, last)
    found = []
    for structure in structures:
        structure = scene.specific(structure)
        name = value_of(scene.lexicon, "variant", structure) if finding == "overhanging" else None
        if finding == "absent":
            structure = value_of(scene.lexicon, "denied-part", structure) or structure
        contrary = next((r for r in of_finding(scene.lexicon, "contrary", finding) if structure in r.to), None)
        if contrary is not None and state != "uncertain":
            flipped: State = "absent" if state == "present" else "present"
            found.append(Told(first, last, str(contrary.values["finding"]), structure, flipped, span, side))
            continue
        found.append(Told(first, last, name or finding, structure, state, span, side))
        role = {"present": "implies", "absent": "implies-absent"}.get(state, "")
        found += [
            Told(first, last, str(rule.values["finding"]), structure, state, span, side)
            for rule in of_finding(scene.lexicon, role, finding)
            if structure in rule.to
        ]
    return found


def _named(scene: Scene) -> list[Told]:
    """Findings named by a term: "the stapes is fixed"."""
    unwanted = members(scene.lexicon, "not-found")
    found: list[Told] = []
    last: tuple[int, list[str]] = (-_NEAR, [])
    for spot in scene.reading.spots:
        concept = spot.concept
        state = _state(scene, spot.first, spot.last, spot.mention.status)
        if (
            spot.mention.status == "hypothetical"
            and scene.kind(spot) == "disease"
            and scene.reading.has(spot.first - 7, spot.first, "feared")
        ):
            state = "uncertain"
        if concept is None or state is None or concept in unwanted or scene.kind(spot) not in _KINDS:
            continue
        if spot.mention.kind == "reference" or scene.is_request(spot) or _is_phrased(scene, spot):
            continue
        ruled = any(of_finding(scene.lexicon, "fits", concept)) or (
            state == "absent" and any(of_finding(scene.lexicon, "fits-denied", concept))
        )
        if not ruled and scene.kind(spot) != "finding":
            continue
        structures = places_of(scene, spot.first, spot.last, concept, denied=state == "absent")
        if not structures and ruled and spot.first - last[0] <= _NEAR:
            structures = [
                s for s in last[1] if any(fits(scene.lexicon, r, s) for r in of_finding(scene.lexicon, "fits", concept))
            ]
        if structures:
            last = spot.last, structures
        found += _told(scene, spot.first, spot.last, concept, structures, state)
    return found


def _phrases(scene: Scene) -> list[Told]:
    """Findings told by an everyday verb: "the malleus moves"."""
    reading = scene.reading
    found: list[Told] = []
    for hit in reading.hits("told"):
        if _is_named(scene, hit) or reading.register(hit.first) in ("request", "aside"):
            continue
        if reading.has(hit.first - 6, hit.first, "condition", "would"):
            continue
        values = scene.lexicon[hit.concepts[0]].values
        finding, given = str(values["finding"]), values.get("structure")
        denied = reading.has(hit.first - 3, hit.first, *_DENIAL) or values.get("state") == "absent"
        state = "absent" if denied else _state(scene, hit.first, hit.last, "affirmed")
        places = [given] if isinstance(given, str) else places_of(scene, hit.first, hit.last, finding, told=True)
        found += _told(scene, hit.first, hit.last, finding, places, state or "uncertain")
    return found


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


def _parts(scene: Scene) -> list[Told]:
    """Parts said to be no more: "no arch"; and structures whose being there is the finding."""
    found: list[Told] = []
    parts = members(scene.lexicon, "denied-part")
    for spot in scene.reading.spots:
        status, concept = spot.mention.status, spot.concept
        if concept is None or spot.mention.kind == "reference":
            continue
        variant = value_of(scene.lexicon, "variant", concept)
        state: State | None = None
        if variant and status in ("negated", "uncertain"):
            found += _told(scene, spot.first, spot.last, variant, [concept], _STATES[status])
        elif concept in parts:
            if status == "uncertain" or (status in ("affirmed", "negated") and _is_unseen(scene, spot)):
                state = "uncertain"
            elif status == "negated" and _is_gone(scene, spot):
                state = "present"
            found += _told(scene, spot.first, spot.last, "absent", [concept], state) if state else []
    return found


def _is_gone(scene: Scene, spot: Spot) -> bool:
    """Tell whether the thing itself is denied ("no arch"), not the sight of it ("I do not see the arch")."""
    cues = scene.reading.cues(max(0, spot.first - 7), spot.first, "negation-thing", "answer-no", "gone")
    return any(hit.last >= spot.first - 2 for hit in cues)


def _is_unseen(scene: Scene, spot: Spot) -> bool:
    """Tell whether the surgeon says, right there, that it is not seen yet."""
    cues = scene.reading.cues(spot.last, spot.last + 2, "not-seen")
    return any(hit.first <= spot.last + 1 for hit in cues)


def _reflexes(scene: Scene) -> list[Told]:
    """A reflex looked for: what is said next tells whether it is there."""
    found: list[Told] = []
    reading = scene.reading
    wanted = members(scene.lexicon, "reflex")
    for spot in reading.spots:
        if spot.concept not in wanted or spot.mention.status not in ("affirmed", "uncertain"):
            continue
        first, last = spot.first - _REFLEX_BEHIND, spot.last + _REFLEX_AHEAD
        later = [s.first for s in reading.among(spot.last, last) if s.concept in wanted]
        last = min([last, *later])
        hits = [
            *reading.cues(max(0, first), last, "told-there"),
            *reading.cues(max(0, first), last, "told-none"),
        ]
        hits = [h for h in hits if reading.breaks(min(h.first, spot.first), max(h.first, spot.first)) <= 5]
        if not hits:
            continue
        best = min(hits, key=lambda h: (min(abs(h.first - spot.last), abs(spot.first - h.last)), h.first))
        role = scene.lexicon[best.concepts[0]].role
        finding = "absent" if role == "told-none" else "present"
        found += _told(
            scene,
            min(spot.first, best.first),
            max(spot.last, best.last),
            finding,
            [spot.concept or ""],
            "present",
        )
    return found


def _acts(scene: Scene) -> list[Told]:
    """What an act leaves behind: "I keep it", "I cut the chorda"."""
    found: list[Told] = []
    reading = scene.reading
    for act in scene.acts:
        verb = act.verb
        for rule in of_finding(scene.lexicon, "act-finding", verb.concept or ""):
            target = act.object.concept if act.object else None
            if target is None or not fits(scene.lexicon, rule, target):
                before = [s for s in reading.among(verb.first - 25, verb.first) if s.concept in rule.to]
                between = before and [
                    s for s in reading.among(before[-1].last, verb.first) if scene.kind(s) == "structure"
                ]
                ahead = (
                    act.object is not None
                    and act.object.first >= verb.last
                    and reading.breaks(verb.last, act.object.first) == 0
                )
                if not before or between or ahead:
                    continue
                target = before[-1].concept
            status = verb.mention.status
            forced = status == "planned" and reading.has(verb.first - 4, verb.first, "necessity")
            state = "present" if forced else _state(scene, verb.first, verb.last, status)
            if state is None or target is None:
                continue
            if scene.is_request(verb):
                continue
            found += _told(scene, verb.first, verb.last, str(rule.values["finding"]), [target], state)
    return found
