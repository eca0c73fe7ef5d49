"""What speaks for the part that an amount plays, by name; the weights are fitted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from otochron.lexicon.weights import load_weights
from otochron.model import Measurement, Role
from otochron.stages.measurements.amounts import Amount
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.roles import is_elsewhen, ruled
from otochron.stages.measurements.scene import Scene

_ROLES = ("measured", "added", "target", "intermediate", "final")
_CUES = (
    *(f"role-{role}" for role in _ROLES),
    "role-plus",
    "role-minus",
    "role-so",
    "role-answered",
    "role-unanswered",
    "role-set",
    "role-found",
)
_BEFORE, _AFTER, _NEAR = 10, 6, 4
_KNOWN_MS = 300_000
_SAME = 1e-6

Parts = dict[str, float]


def parts_of(scene: Scene, amount: Amount, link: Link, added: bool, before: Sequence[Measurement]) -> Parts:
    """Tell what speaks for each part: the rules, the thing, the words near by, what was measured before."""
    row = link.row
    entry = scene.lexicon.get(link.of)
    parts: Parts = {
        "always": 1.0,
        f"rule {ruled(scene, amount, link, added, before)}": 1.0,
        f"kind {entry.kind if entry else None}": 1.0,
        f"register {scene.registers[amount.first]}": 1.0,
        "added": float(added),
        "elsewhen": float(is_elsewhen(scene, amount)),
        "range": float(amount.low is not None and amount.high is not None),
        "sum": link.parts.get("sum", 0.0),
        "corrects": float(bool(scene.corrections(amount.first - 3, amount.first))),
    }
    parts[f"unit {amount.unit or 'bare'}"] = 1.0
    if row is None:
        parts["no row"] = 1.0
        parts[f"no row, {entry.kind if entry else None}"] = 1.0
    else:
        parts[f"row {row.id}"] = 1.0
        parts[f"dimension {row.dimension}"] = 1.0
        parts[f"default {row.default_role}"] = 1.0
    parts.update(_words(scene, amount))
    parts.update(_clause(scene, amount, "row" if row else "no row"))
    parts.update(_history(link, before))
    return parts


def _words(scene: Scene, amount: Amount) -> Parts:
    """Tell the cues around an amount, and the acts named in its clause."""
    first, last = scene.clause_range(amount.first)
    found: Parts = {}
    for role in _CUES:
        for cue in scene.cues.inside(role, max(0, amount.first - _BEFORE), amount.last + _AFTER):
            side = "before" if cue.last <= amount.first else "after"
            gap = amount.first - cue.last if side == "before" else cue.first - amount.last
            here = "here" if first <= cue.first < last else "beside"
            found[f"{role} {side} {here}"] = 1.0
            if here == "here" and 0 <= gap <= _NEAR:
                found[f"{role} {side} near"] = 1.0
    for head in scene.near(first, first, 0, last - first):
        if head.kind == "action":
            found[f"act {head.concept}"] = 1.0
    return found


def _clause(scene: Scene, amount: Amount, which: str) -> Parts:
    """Tell whether something is done or found in the clause, and what leads and follows the amount."""
    first, last = scene.clause_range(amount.first)
    kinds = {head.kind for head in scene.near(first, first, 0, last - first)}
    found = {f"{which}, {kind} here": 1.0 for kind in ("action", "finding", "disease", "instrument") if kind in kinds}
    lead, follow = scene.lead(amount.first), scene.follow(amount.last)
    found |= {f"{which}, {side} by {word}": 1.0 for side, word in (("led", lead), ("followed", follow)) if word}
    return found


def _history(link: Link, before: Sequence[Measurement]) -> Parts:
    """Tell what parts the same thing played before, with this value and with others."""
    dimension = link.row.dimension if link.row else None
    same = [old for old in before if old.of == link.of and (old.dimension == dimension) and old.role != "added"]
    if not same:
        return {"first of its thing": 1.0}
    found: Parts = {f"last {same[-1].role}": 1.0}
    for old in same:
        if old.role in ("final", "target"):
            found[f"was {old.role}"] = 1.0
    again = [old for old in same if old.value is not None and abs(old.value - (link.reading or -1.0)) < _SAME]
    if again:
        found[f"value was {again[-1].role}"] = 1.0
    elif same[-1].role == "final":
        found["another after final"] = 1.0
    return found


def choose_role(parts: Mapping[str, float]) -> Role | None:
    """Give the part for which most speaks; a rule holds where the weights are silent."""
    weights: Mapping[str, Mapping[str, float]] = load_weights("measurements")["roles"]
    scores = {
        role: sum(own.get(name, 0.0) * value for name, value in parts.items()) for role, own in sorted(weights.items())
    }
    best = max(scores, key=lambda role: scores[role])
    return None if best == "None" else best  # type: ignore[return-value]
