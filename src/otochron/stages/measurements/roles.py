"""The part an amount plays by rule: measured, added, target, intermediate, final.

What the rules say is one thing among others that ``parts.py`` tells and the fitted weights weigh.
"""

from __future__ import annotations

from collections.abc import Sequence

from otochron.model import Measurement, Role
from otochron.stages.measurements.amounts import Amount
from otochron.stages.measurements.cues import Cue
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.scene import Scene

_ROLES: tuple[Role, ...] = ("final", "intermediate", "target", "measured")
_MEASURED_DIMENSIONS = frozenset({"distance"})
_MADE_KINDS = frozenset({"implant", "graft"})
_FOUND_KINDS = frozenset({"disease", "complication", "finding"})
_ELSEWHEN = ("past-case", "other-case", "other-patient", "condition", "would")
_LONG_AGO_MS = 900_000
_FOUND_BEFORE, _FOUND_AFTER = 10, 6
_ANSWER_BEFORE, _ANSWER_AFTER = 8, 6


def is_added(scene: Scene, amount: Amount) -> bool:
    """Tell whether an amount is said to be added ("i add", "plus a quarter", "en plus")."""
    first, _ = scene.clause_range(amount.first)
    if scene.cues.inside("role-added", max(first, amount.first - 4), amount.first):
        return True
    return (
        scene.cues.ending("role-plus", amount.first) is not None
        or scene.cues.at("role-plus-after", amount.last) is not None
    )


def ruled(scene: Scene, amount: Amount, link: Link, added: bool, before: Sequence[Measurement] = ()) -> Role | None:
    """Choose the role of an amount.

    A distance between two structures, a level or a share is measured unless something else is said. What is
    made to size (an implant, a graft, an opening) takes the role of the nearest cue; an implant without one has
    the role that the same size had before, or is wanted.
    """
    row = link.row
    if row is None:
        found = _is_finding(scene, link) or (link.of is not None and _is_told_as_found(scene, amount))
        return "measured" if found and amount.quantity == "size" else None
    made = _made(scene, link)
    if row.entry.role == "added" or (added and made and row.dimension not in _MEASURED_DIMENSIONS):
        return "added"
    if row.default_role == "answered":
        return _answered(scene, amount)
    default: Role | None = row.default_role or None  # type: ignore[assignment]
    if not (made or default) or (default == "measured" and not row.series):
        return default if not _is_rule(scene, amount) else None
    if default == "target":
        return _made_to_size(scene, amount, link, before)
    return _by_cue(scene, amount, link, default)


def _made_to_size(scene: Scene, amount: Amount, link: Link, before: Sequence[Measurement]) -> Role | None:
    """Tell a wanted size from a trial and from the final one; the same size again has the same part."""
    said = None if scene.cues.ending("role-minus", amount.first) else _by_cue(scene, amount, link, None)
    if said is not None:
        return said
    if is_elsewhen(scene, amount) or scene.registers[amount.first] == "teaching":
        return None
    dimension = link.row.dimension if link.row else None
    known = [
        old.role
        for old in before
        if old.of == link.of and old.dimension == dimension and old.value == link.reading and old.role != "added"
    ]
    return next((role for role in reversed(known) if role), "target")


def is_elsewhen(scene: Scene, amount: Amount) -> bool:
    """Tell what is said of another time, ear or case, or only supposed: it plays no part here."""
    first, last = scene.clause_range(amount.first)
    return any(scene.cues.inside(role, max(first, amount.first - 12), last) for role in _ELSEWHEN)


def _is_rule(scene: Scene, amount: Amount) -> bool:
    """Tell what should be from what is: "it should be around half a millimetre"."""
    return scene.registers[amount.first] == "teaching" and said_role(scene, amount) == "target"


def _is_wish(scene: Scene, amount: Amount) -> bool:
    """Tell "i want", which is said of this ear even to a pupil."""
    first = scene.clause_range(amount.first)[0]
    return bool(scene.cues.inside("wish", max(first, amount.first - 8), amount.first))


def _is_finding(scene: Scene, link: Link) -> bool:
    entry = scene.lexicon.get(link.of)
    return entry is not None and entry.kind in _FOUND_KINDS


def _is_told_as_found(scene: Scene, amount: Amount) -> bool:
    """Tell a size that is come upon, "the dura is exposed over five millimetres", from one that is made."""
    first, last = scene.clause_range(amount.first)
    kinds = {head.kind for head in scene.near(first, first, 0, last - first)}
    if "action" in kinds or scene.registers[amount.first] != "narration" or is_elsewhen(scene, amount):
        return False
    near = scene.cues.inside(
        "role-found", max(first, amount.first - _FOUND_BEFORE), min(last, amount.last + _FOUND_AFTER)
    )
    return "finding" in kinds or bool(near)


def _by_cue(scene: Scene, amount: Amount, link: Link, default: Role | None) -> Role | None:
    """Choose by what is said near by."""
    if scene.cues.ending("role-minus", amount.first) is not None:
        return None
    said = _said(scene, amount)
    if said == "target" and default == "measured":
        return default
    if said == "target" and scene.registers[amount.first] == "teaching" and not _is_wish(scene, amount):
        return None
    if said == "measured" and default is None and not _found(scene, link):
        return None
    return said or default


def _made(scene: Scene, link: Link) -> bool:
    entry = scene.lexicon.get(link.of)
    if entry is None:
        return False
    return entry.kind in _MADE_KINDS or (link.row is not None and link.row.made)


def _answered(scene: Scene, amount: Amount) -> Role:
    """Tell a level to which an answer is told from one that is only set."""
    if scene.registers[amount.first] == "request":
        return "intermediate"
    is_set = scene.cues.ending("role-set", amount.first) is not None
    first, last = max(scene.clause_range(amount.first)[0], amount.first - _ANSWER_BEFORE), amount.last + _ANSWER_AFTER
    told = [
        (_gap(amount, cue), role)
        for role in ("answered", "unanswered")
        for cue in scene.cues.inside(f"role-{role}", first, last)
        if not (cue.first >= amount.last and scene.cues.at("measured-away", cue.last))  # "response at" the next one
        and not (cue.last <= amount.first and is_set)
    ]
    return "measured" if told and min(told)[1] == "answered" else "intermediate"


def _gap(amount: Amount, cue: Cue) -> int:
    return amount.first - cue.last if cue.last <= amount.first else cue.first - amount.last


def _found(scene: Scene, link: Link) -> bool:
    """Tell what is measured as it is found, as a graft is, from what is made to size, as an implant is."""
    entry = scene.lexicon.get(link.of)
    return entry is not None and entry.kind != "implant"


def said_role(scene: Scene, amount: Amount, reach: int = 4) -> Role | None:
    """Give the role of the cue that ends right before an amount."""
    first = scene.clause_range(amount.first)[0]
    best: tuple[int, Role] | None = None
    for role in _ROLES:
        for cue in scene.cues.inside(f"role-{role}", max(first, amount.first - reach - 4), amount.first):
            if amount.first - cue.last <= reach and (best is None or cue.last > best[0]):
                best = (cue.last, role)
    return best[1] if best else None


def _said(scene: Scene, amount: Amount) -> Role | None:
    """Give the role of the nearest cue in the clause, or in the clauses beside it."""
    first, last = scene.clause_range(amount.first)
    best: tuple[float, Role] | None = None
    for role in _ROLES:
        for cue in scene.cues.inside(
            f"role-{role}", max(first - 4, amount.first - 14, 0), min(last + 3, amount.last + 8)
        ):
            if cue.last <= amount.first:
                distance = (amount.first - cue.last) + 5.0 * scene.clauses_between(cue.last - 1, amount.first)
            elif cue.first >= amount.last:
                distance = 1.0 + (cue.first - amount.last) + 5.0 * scene.clauses_between(amount.last - 1, cue.first)
            else:
                continue
            distance -= 0.3 * (cue.last - cue.first)
            distance += 2.0 * (role == "measured")
            if best is None or distance < best[0]:
                best = (distance, role)
    return best[1] if best else None
