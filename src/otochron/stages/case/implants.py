"""Implants: kind, material by part, final length and diameter. Rules: ``lexicons/rules/case.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Spot
from otochron.lexicon.rules import is_kind_of, members, named, rules, value_of
from otochron.model import Implant, Status
from otochron.stages.case.explants import is_old
from otochron.stages.case.implant_sizes import DIAMETERS, size_of
from otochron.stages.case.items import Draft, Drafts, codes, in_order, last_of
from otochron.stages.case.scene import Scene

_REAL: tuple[Status, ...] = ("affirmed", "planned", "negated")
_BODY = "body"
_NEAR = 12
_THOUGHT = 9


def find_implants(scene: Scene) -> tuple[Implant, ...]:
    """Give what was put in, or is to be put in on another day.

    Notes
    -----
    An implant is in when words or a step put it in and nothing later denies it. A general word ("the
    prosthesis") adds to the one kind that is named. One that is only asked for, named in an "if", in another
    ear, or denied, is none; one that is to come is planned.
    """
    drafts = Drafts()
    put_in = {*_by_words(scene, drafts), *_by_pronouns(scene, drafts), *_by_steps(scene, drafts)}
    _merge(scene, drafts)
    _join_sides(drafts)
    found = []
    for draft in drafts.by_key.values():
        names = {draft.concept, *(scene.lexicon[draft.concept or ""].broader)}
        draft.concept = _kind_meant(scene, draft.concept)
        status = _final(draft, in_hand=bool(names & put_in))
        if status and _belongs(scene, draft, status):
            found.append(_implant(scene, draft, status))
    return tuple(i for i in in_order(found) if isinstance(i, Implant))


def _kind_meant(scene: Scene, concept: str | None) -> str | None:
    """Give the kind of a prosthesis that only its general name puts in: the one kind named, else as its part tells."""
    if concept not in members(scene.lexicon, "kind-by-part"):
        return concept
    told = [s for s in scene.reading.spots if s.mention.status in ("affirmed", "planned")]
    kinds = {
        s.mention.concept
        for s in told
        if s.mention.concept != concept
        and not scene.reading.has(s.first - _NEAR, s.first, "considered")
        and concept in (e.broader if (e := scene.lexicon.get(s.mention.concept)) else ())
    }
    if not kinds:
        parts = {value_of(scene.lexicon, "kind-by-part", s.mention.concept) for s in told} - {None}
        kinds = {k for k in parts if concept and is_kind_of(scene.lexicon, k, concept) and k != concept}
    return kinds.pop() if len(kinds) == 1 else concept


def _join_sides(drafts: Drafts) -> None:
    """Add what was told before an ear was begun to the implant of the first ear."""
    for key, draft in list(drafts.by_key.items()):
        sided = [d for d in drafts.by_key.values() if d.concept == draft.concept and d.side]
        if draft.side is None and sided:
            first = min(sided, key=lambda d: min(span.start_ms for _, span in d.said))
            first.said = sorted([*first.said, *draft.said], key=lambda said: said[1].start_ms)
            drafts.by_key.pop(key)


def _belongs(scene: Scene, draft: Draft, status: Status) -> bool:
    """Tell whether an implant is of this operation: its procedure is named or stepped, or it is told twice.

    "The tube is in" of the anaesthetist is no ventilation tube, "the implant sheet" no cochlear implant.
    """
    wanted = {name for entry in rules(scene.lexicon, "implant-procedure") for name in named(entry, draft.concept or "")}
    told = {s.mention.concept for s in scene.reading.spots if s.mention.kind == "procedure"}
    operated = {step.procedure for step in scene.done_steps}
    if not wanted or not operated or wanted & (told | operated):
        return True
    return status == "affirmed" and draft.statuses.count("affirmed") > 1


def _final(draft: Draft, *, in_hand: bool) -> Status | None:
    """Give the status that holds, None where there is no implant."""
    last = last_of(draft, _REAL)
    if last in (None, "negated"):
        return None
    if "affirmed" in draft.statuses and in_hand:
        return "affirmed"
    return "planned" if "planned" in draft.statuses else None


def _whole(scene: Scene, concept: str | None) -> str | None:
    """Give what is implanted when this is named: itself, or the whole that it is the main part of."""
    wholes = sorted(members(scene.lexicon, "implant"))
    if not any(is_kind_of(scene.lexicon, concept, whole) for whole in wholes):
        return None
    return value_of(scene.lexicon, "implant-whole-of", concept) or concept


def _by_words(scene: Scene, drafts: Drafts) -> set[str | None]:
    """Add every place that names an implant; give those that words put in."""
    put_in: set[str | None] = set()
    for spot in scene.reading.spots:
        concept, status = spot.mention.concept, spot.mention.status
        whole = _whole(scene, concept) if spot.mention.kind == "implant" else None
        if whole is None or status not in _REAL or (whole != concept and not _is_named(scene, whole)):
            continue
        if scene.reading.has(spot.first - 6, spot.first, "habit", "habit-adverb"):
            continue
        if status == "negated" and scene.reading.register(spot.first) == "teaching" and _is_cut(scene, spot, whole):
            continue  # "with a stiff footplate: no prosthesis today", when one was made to its length and put in
        if is_old(scene, spot):
            continue
        if status == "affirmed" and (scene.is_supposed(spot.last, spot.last + 5) or _is_unreal(scene, spot)):
            continue  # "a prosthesis in there would come out", "a tube can be inserted"
        if status == "affirmed" and scene.is_request(spot):
            continue
        if status == "affirmed" and _is_put_in(scene, spot):
            put_in.add(whole)
        drafts.add(whole, status, scene.span(spot), scene.side_at(spot.first))
    return put_in


def _is_cut(scene: Scene, spot: Spot, whole: str) -> bool:
    """Tell whether a final size of an implant was told before."""
    sizes = [z.measurement for z in scene.reading.sizes if z.first < spot.first]
    return any(is_kind_of(scene.lexicon, m.of, whole) and m.role == "final" and m.status == "affirmed" for m in sizes)


def _by_pronouns(scene: Scene, drafts: Drafts) -> set[str | None]:
    """Add every pronoun of which is said that it is in: "il est en place", "it is in"."""
    put_in: set[str | None] = set()
    for spot in scene.reading.spots:
        whole = _whole(scene, spot.mention.refers_to) if spot.mention.kind == "reference" else None
        if whole is None or not scene.reading.has(spot.last, spot.last + 3, "in-place"):
            continue
        if scene.reading.has(spot.first - 5, spot.last, "condition") or scene.is_supposed(spot.first, spot.last + 3):
            continue
        drafts.add(whole, "affirmed", scene.span(spot), scene.side_at(spot.first))
        put_in.add(whole)
    return put_in


def _by_steps(scene: Scene, drafts: Drafts) -> set[str | None]:
    """Add what the steps done put in, where it was named; a step gives no implant that nobody named."""
    put_in: set[str | None] = set()
    for step in scene.done_steps:
        entry = scene.lexicon.get(step.step)
        wholes = [w for made in (entry.produces if entry else ()) if (w := _whole(scene, made))]
        if not wholes or not step.evidence:
            continue
        for whole in wholes:
            here = [d for d in drafts.by_key.values() if d.side == step.side]
            told = [d for d in here if is_kind_of(scene.lexicon, d.concept, whole)]
            for draft in told[-1:]:
                put_in.add(draft.concept)
                draft.said += [("affirmed", span) for span in step.evidence]
                draft.said.sort(key=lambda said: said[1].start_ms)
    return put_in


def _is_named(scene: Scene, whole: str) -> bool:
    """Tell whether a whole is named itself, so that a bare part ("the electrode") is a part of it."""
    return any(s.mention.concept == whole and s.mention.status != "hypothetical" for s in scene.reading.spots)


def _is_put_in(scene: Scene, spot: Spot) -> bool:
    """Tell whether words round an implant put it in: an act, "is in", or where it lies."""
    reading = scene.reading
    if reading.has(spot.last, spot.last + 4, "in-place", "performed-after") or _is_in_aftersize_of(scene, spot):
        return True
    if reading.after_preposition(spot.first):
        return False  # "near the tube": it is where something is done
    acts = members(scene.lexicon, "implant-act")
    for verb in reading.among(spot.first - 8, spot.last + 8):
        if (
            verb.concept in acts
            and verb.mention.status == "affirmed"
            and reading.breaks(min(verb.first, spot.first), max(verb.first, spot.first)) <= 1
        ):
            return True
    ahead = reading.cues(spot.last, spot.last + 3, "locative")
    return bool(ahead) and any(
        scene.kind(s) in ("structure", "landmark") for s in reading.among(ahead[0].last, ahead[0].last + 3)
    )


def _is_in_aftersize_of(scene: Scene, spot: Spot) -> bool:
    """Tell whether "is in place" follows a size told of it: "a piston of four and a half millimetres is in place"."""
    reading = scene.reading
    sizes = [z for z in reading.sizes if spot.last <= z.first <= spot.last + 2]
    if not sizes:
        return False
    last = max(z.last for z in reading.sizes if z.first >= spot.last and z.first <= sizes[-1].last + 3)
    hits = reading.cues(last, last + 3, "in-place")
    return bool(hits) and not reading.has(spot.last, hits[0].last, "condition", "would", "negation-verb")


def _is_unreal(scene: Scene, spot: Spot) -> bool:
    """Tell whether an implant is only considered or spoken of in general."""
    reading = scene.reading
    if reading.has(spot.first - 2, spot.first, "coordinator"):
        return True  # "a partial or a total prosthesis": a choice, not yet made
    if reading.has(spot.first - 4, spot.first, "considered") or reading.has(spot.last, spot.last + 4, "considered"):
        return True
    thought = reading.cues(max(0, spot.first - _THOUGHT), spot.first, "considered")
    return any(
        not reading.breaks(hit.first, spot.first)
        and not any(s.mention.kind == "implant" for s in reading.among(hit.last, spot.first))
        for hit in thought
    )  # "I thought of going to the malleus with a malleus piston"


def _merge(scene: Scene, drafts: Drafts) -> None:
    """Add the evidence of general words to the nearest kind that was named."""
    for key, draft in list(drafts.by_key.items()):
        special = [
            d
            for d in drafts.by_key.values()
            if d is not draft
            and d.side == draft.side
            and draft.concept
            and d.concept != draft.concept
            and is_kind_of(scene.lexicon, d.concept, draft.concept)
            and last_of(d, _REAL) != "negated"
        ]
        if not special:
            continue
        for status, span in draft.said:
            near = min(special, key=lambda d: min(abs(s.start_ms - span.start_ms) for _, s in d.said))
            near.said.append((status, span))
            near.said.sort(key=lambda said: said[1].start_ms)
        drafts.by_key.pop(key)


def _implant(scene: Scene, draft: Draft, status: Status) -> Implant:
    return Implant(
        concept=draft.concept,
        side=draft.side,
        status=status,
        codes=codes(draft.concept, scene.lexicon),
        evidence=draft.evidence,
        materials=_materials(scene, draft),
        length=size_of(scene, draft, ("length",), status),
        diameter=size_of(scene, draft, DIAMETERS, status),
    )


def _materials(scene: Scene, draft: Draft) -> dict[str, str]:
    """Give the material of each part: the part named last before it, or at once after it."""
    found: dict[str, str] = {}
    known = value_of(scene.lexicon, "implant-material", draft.concept)
    if known:
        found[_BODY] = known
    places = [scene.reading.places.first(span) for span in draft.evidence]
    for spot in scene.reading.spots:
        if scene.kind(spot) != "material" or spot.concept is None or spot.mention.status not in ("affirmed", "planned"):
            continue
        if not any(abs(place - spot.first) <= _NEAR for place in places):
            continue
        part = _part(scene, spot)
        found.setdefault(part, spot.concept)
    return dict(sorted(found.items()))


def _part(scene: Scene, spot: Spot) -> str:
    reading = scene.reading
    before = [s for s in reading.among(spot.first - 4, spot.first) if scene.kind(s) == "implant"]
    if before and spot.first - before[-1].last <= 2:
        return value_of(scene.lexicon, "implant-part", before[-1].concept) or _BODY
    after = [s for s in reading.among(spot.last, spot.last + 2) if scene.kind(s) == "implant"]
    return (value_of(scene.lexicon, "implant-part", after[0].concept) if after else None) or _BODY
