"""The name of what is measured."""

from __future__ import annotations

from otochron.stages.measurements.amounts import Amount
from otochron.stages.measurements.bands import Row
from otochron.stages.measurements.scene import Scene
from otochron.text.number_words import is_number

_LONG_AGO = 1500
"""How many words back the special name of a general one is looked for."""
_A_WHILE = 250
_IN_HAND = 12
_COUNTED = 2
"""Words from a number to the pieces that it counts."""


def name_of(scene: Scene, amount: Amount, row: Row, concept: str | None) -> str:
    """Name what is measured: the concept itself, or the more special one that was spoken of last."""
    if row.first:
        return row.first
    if concept is not None and concept not in row.entry.of:
        concept = next((o for o in row.entry.of if scene.is_a(concept, o)), None)
    general = concept is not None and bool(row.kin) and concept not in row.kin
    settled = not (general and scene.is_a(row.kin[0], concept or ""))
    if concept is not None and (settled or _is_one_of_some(scene, amount, concept)):
        return concept
    kin = row.kin if general else row.entry.of
    seen = dict(zip(row.kin_seen, row.kin, strict=False)) if kin is row.kin else {}
    for head in reversed(scene.near(amount.first, amount.first, _LONG_AGO, -1)):
        if head.concept in seen:
            return seen[head.concept]
        if head.concept in kin and head.concept != concept and (concept is None or scene.is_a(head.concept, concept)):
            return head.concept if concept is not None else name_of(scene, amount, row, head.concept)
    later = scene.near(amount.last, amount.last, 0, _LONG_AGO) if concept is None or general else ()
    for head in later:
        if head.concept in kin and head.concept != concept and (concept is None or scene.is_a(head.concept, concept)):
            return head.concept if concept is not None else name_of(scene, amount, row, head.concept)
    return concept or row.entry.of[0]


def _is_one_of_some(scene: Scene, amount: Amount, concept: str) -> bool:
    """Tell whether pieces were just counted: "deux palettes" are cut from the cartilage, and are not all of it."""
    for head in reversed(scene.near(amount.first, amount.first, _IN_HAND, -1)):
        if head.concept == concept:
            return any(is_number(scene.words[n]) for n in range(max(0, head.first - _COUNTED), head.first))
    return False


def others_of(scene: Scene, amount: Amount, row: Row, name: str) -> list[tuple[str, int]]:
    """Give what else a row may measure that was named a while ago, each with the words since.

    "The cartilage" is the piece that was taken as well as the island that is cut from it.
    """
    found: dict[str, int] = {}
    seen = dict(zip(row.kin_seen, row.kin, strict=False))
    for head in scene.near(amount.first, amount.first, _A_WHILE, -1):
        if head.concept in seen and seen[head.concept] != name:
            found.setdefault(seen[head.concept], amount.first - head.last)
        if head.concept is not None and head.concept != name and head.concept in row.entry.of:
            found[head.concept] = max(0, amount.first - head.last)
    return sorted(found.items())
