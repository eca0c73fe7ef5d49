"""One place that tells a finding, and what else it tells. Rules: ``lexicons/rules/findings.toml``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from otochron.lexicon.rules import members, of_finding, value_of
from otochron.model import Side, Span, Status
from otochron.stages.case.scene import Scene

State = Literal["present", "absent", "uncertain"]
STATES: dict[Status, State] = {"affirmed": "present", "negated": "absent", "uncertain": "uncertain"}
_FLIPPED: dict[State, State] = {"present": "absent", "absent": "present"}
_OTHER_EAR = 12
_IMPLIES: dict[State, str] = {"present": "implies", "absent": "implies-absent"}


@dataclass(frozen=True, slots=True)
class Told:
    """One place that tells a finding: from word ``first``, what, where, and how it stands."""

    first: int
    finding: str
    structure: str | None
    state: State
    span: Span
    side: Side | None
    implied: bool = False
    """It follows from what was told, and was not told itself."""


def lasts(scene: Scene, first: int, last: int, status: Status, finding: str) -> bool:
    """Tell whether what was done to this ear on another day is so today: "the chorda was cut last time"."""
    if status != "past" or finding not in members(scene.lexicon, "lasting-finding"):
        return False
    near = scene.reading.among(first - _OTHER_EAR, last + _OTHER_EAR)
    return not any(s.mention.kind == "side" for s in near) and not scene.reading.has(
        first - _OTHER_EAR, last + _OTHER_EAR, "other-case", "other-patient"
    )


def state_of(scene: Scene, first: int, last: int, status: Status) -> State | None:
    """Give how a finding stands: what is feared or was thought is doubtful, and absent where "but no" follows."""
    state = STATES.get(status)
    if state == "uncertain" and _is_before_doubt(scene, first, last):
        return "present"
    if state == "present" and (
        scene.reading.has(first - 6, first, "no-need") or scene.reading.has(last, last + 2, "and-is-not")
    ):
        return "absent"
    if state == "present" and scene.reading.has(first - 4, first, "hoped"):
        return "absent" if scene.reading.has(last, last + 6, "but-no") else None
    if state == "present" and scene.reading.has(first - 5, first, "feared"):
        return "uncertain"
    if state == "present" and scene.reading.has(first - 8, first, "mistaken"):
        return "absent" if scene.reading.has(last, last + 6, "but-no") else "uncertain"
    return state


def _is_before_doubt(scene: Scene, first: int, last: int) -> bool:
    """Tell whether the doubt is of the next structure: "the incus is eroded and the stapes i do not know"."""
    reading = scene.reading
    if not reading.has(last, last + 1, "addition", "coordinator") or not reading.has(first - 3, first, "finite"):
        return False
    following = [s for s in reading.among(last, last + 4) if s.mention.kind in ("structure", "landmark")]
    doubted = ("uncertainty", "feared", "mistaken", "condition", "would", "question", "considered")
    if not following or reading.has(first - 10, last, *doubted):
        return False
    return reading.has(following[0].last, following[0].last + 6, "uncertainty", "uncertainty-after", "not-seen")


def tell(scene: Scene, place: tuple[int, int], finding: str, structures: list[str], state: State) -> list[Told]:
    """Give what words ``place`` tell of some structures, with what follows from it."""
    side, span = scene.side_told(*place) or scene.side_at(place[0]), scene.reading.span(*place)
    return [
        Told(place[0], what, where, how, span, side, implied=n > 0)
        for structure in structures
        for n, (what, where, how) in enumerate(_meanings(scene, finding, structure, state))
    ]


def _meanings(scene: Scene, finding: str, structure: str, state: State) -> Iterator[tuple[str, str, State]]:
    """Give finding, structure and state as they are written down, and what they imply."""
    lexicon = scene.lexicon
    where = scene.specific(structure)
    if finding == "absent":
        where = value_of(lexicon, "denied-part", where) or where
    contrary = next((rule for rule in of_finding(lexicon, "contrary", finding) if where in rule.to), None)
    if contrary is not None and state in _FLIPPED:
        yield str(contrary.values["finding"]), where, _FLIPPED[state]
        return
    same = next((rule for rule in of_finding(lexicon, "means", finding) if where in rule.to), None)
    finding = str(same.values["finding"]) if same else finding
    variant = value_of(lexicon, "variant", where) if finding == "overhanging" else None
    yield variant or finding, where, state
    for rule in of_finding(lexicon, _IMPLIES.get(state, ""), finding):
        if where in rule.to:
            yield str(rule.values["finding"]), where, "present" if rule.values.get("state") == "present" else state
