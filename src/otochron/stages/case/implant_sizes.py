"""The size of an implant that holds: final before told, never a distance. Rules: ``lexicons/rules/case.toml``."""

from __future__ import annotations

from otochron.lexicon.reading import Size
from otochron.lexicon.rules import is_kind_of, members
from otochron.model import Status
from otochron.stages.case.items import Draft
from otochron.stages.case.scene import Scene

DIAMETERS = ("diameter", "inner diameter")


def size_of(scene: Scene, draft: Draft, dimensions: tuple[str, ...], status: Status) -> str | None:
    """Give the size that holds: the last final one, else the last that was affirmed; for a plan the target."""
    sizes = [s for s in scene.reading.sizes if _is_of(scene, s, draft, dimensions) and not _is_away(scene, s)]
    if "length" in dimensions and draft.concept in members(scene.lexicon, "length-only-said"):
        sizes = [s for s in sizes if _is_called_long(scene, s)]
    if draft.side:
        own = [s for s in sizes if scene.side_at(s.first) == draft.side]
        sizes = own or [s for s in sizes if s.measurement.dimension in DIAMETERS]
    told = [
        s.measurement
        for s in sizes
        if s.measurement.status not in ("retracted", "past", "hypothetical", "general", "negated")
        and s.measurement.plausible is not False  # an impossible size stays in the list and asks; it is no implant's
    ]
    final = [m for m in told if m.role == "final" and m.status == "affirmed"]
    if final:
        return final[-1].id
    rest = [m for m in told if m.role != "added" and m.plausible is not False]
    rest = [m for m in rest if status == "planned" or m.status == "affirmed"]
    return rest[-1].id if rest else None


def _is_away(scene: Scene, size: Size) -> bool:
    """Tell whether a size is how far it lies from a structure: "à un millimètre du manche"."""
    reading = scene.reading
    if not reading.has(size.first - 1, size.first, "away-lead"):
        return False
    after = reading.among(size.last, size.last + 4)
    return bool(after) and scene.kind(after[0]) in ("structure", "landmark")


def _is_called_long(scene: Scene, size: Size) -> bool:
    """Tell whether a word of length stands beside a size."""
    hits = scene.reading.cues(max(0, size.first - 4), size.last + 3, "dimension-word")
    return any(scene.lexicon[hit.concepts[0]].dimension == "length" for hit in hits)


def _is_of(scene: Scene, size: Size, draft: Draft, dimensions: tuple[str, ...]) -> bool:
    measurement = size.measurement
    if measurement.dimension not in dimensions or measurement.of is None:
        return False
    if measurement.echo_of is not None and measurement.role != "final":
        return False
    return measurement.of == draft.concept or is_kind_of(scene.lexicon, draft.concept, measurement.of)
