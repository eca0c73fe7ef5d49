"""Steps that were spoken of and never done: planned for another day, or given up.

They are looked for where the surgeon says that he had meant to do something, will not do it, or will do it another
day. The step is the one whose act and thing are spoken there and that is not among the steps done.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Literal

from otochron.lexicon import Entry
from otochron.model import Step
from otochron.stages.steps.knowledge import Knowledge
from otochron.stages.steps.segments import stretches
from otochron.stages.steps.units import Telling, Unit
from otochron.text.stream import span_of

_BEFORE, _AFTER = 2, 6
"""Units around the words of the plan in which its act and its thing are looked for."""
_ENOUGH = 1.3
_OWN = 4
"""A thing that a step leaves behind, and that no more steps than this have, tells the step without its act."""
_OPEN = frozenset({"planned", "negated", "retracted", "hypothetical"})
_MEANT = frozenset({"planned", "negated", "retracted"})
_PLAN_CUES = frozenset({"intended", "given-up", "planned-later"})

Fate = Literal["planned", "abandoned"]


def not_done(telling: Telling, done: Sequence[Step], known: Knowledge) -> tuple[Step, ...]:
    """Give one step for each act of the operation that was planned and is not among those done."""
    names = {step.step for step in done}
    names |= {general for name in names for general in known.lexicon[name].broader}
    asked = [
        entry
        for entry in known.steps
        if entry.id not in names and not set(entry.broader) & names and _operation(entry, done, known)
    ]
    shared = Counter(thing for entry in known.steps for thing in _things(entry))
    found: dict[str, Step] = {}
    for n, unit in enumerate(telling.units):
        around = telling.units[max(0, n - _BEFORE) : n + _AFTER + 1]
        fate = _fate(unit, around)
        if fate is None:
            continue
        worth = {entry.id: _worth(entry, around, shared) for entry in asked}
        best = max(worth.values(), default=0.0)
        for entry in asked:
            if best >= _ENOUGH and worth[entry.id] >= best and entry.id not in found:
                found[entry.id] = _step(entry, fate, telling, n).evolve(
                    procedure=_operation(entry, done, known), score=round(min(1.0, best / 4), 4)
                )
    return tuple(sorted(found.values(), key=lambda step: (step.start_ms, step.id)))


def without_plans(path: Sequence[int], units: Sequence[Unit], known: Knowledge) -> list[int]:
    """Take back the stretches that only tell of a plan: neither the act nor what it leaves behind is affirmed there.

    Talk of a thing that is to be put in is none of the steps; talk of an act that was
    given up belongs to the step before.
    """
    found = list(path)
    for part in stretches(path):
        if part.column == known.none:
            continue
        own = units[part.first : part.last]
        step = known.steps[part.column]
        before = found[part.first - 1] if part.first else known.none
        cues = {cue for unit in own for cue in unit.cues} & _PLAN_CUES
        given_up = cues & {"given-up"}
        for told, said, instead in ((step.produces, cues, known.none), (step.actions, given_up, before)):
            statuses = {mention.status for unit in own for mention in unit.mentions if mention.concept in told}
            if said and statuses and "affirmed" not in statuses:
                found[part.first : part.last] = [instead] * (part.last - part.first)
                break
    return found


def _fate(unit: Unit, around: Sequence[Unit]) -> Fate | None:
    """Tell what the words of a plan at a unit say of it, if there are any."""
    spoken = {mention.status for one in around for mention in one.mentions}
    cues = {cue for one in around for cue in one.cues}
    if "intended" in unit.cues and spoken & _OPEN:
        return "abandoned"
    if "given-up" in unit.cues:
        return "planned" if "planned-later" in cues and "planned" in spoken else "abandoned"
    if "planned-later" in unit.cues and any(
        m.status == "planned" and m.kind in ("implant", "graft") for m in unit.mentions
    ):
        return "planned"
    return None


def _worth(entry: Entry, around: Sequence[Unit], shared: Counter[str]) -> float:
    """Weigh how outright a step is spoken of: its act, its thing, a thing that is its own."""
    spoken = {m.concept: m.status for one in around for m in one.mentions if m.concept}
    meant = {concept for concept, status in spoken.items() if status in _OPEN}
    act = max((1.0 if name in meant else 0.5 for name in entry.actions if name in spoken), default=0.0)
    things = [name for name in _things(entry) if name in spoken]
    thing = max((_rare(name, shared) * (1.0 if name in meant else 0.5) for name in things), default=0.0)
    own = any(shared[name] <= _OWN and spoken.get(name) in _MEANT for name in entry.produces)
    if own:
        return 1.5 + act + thing
    return act + thing if act and thing and (act == 1.0 or set(things) & meant) else 0.0


def _rare(thing: str, shared: Counter[str]) -> float:
    return 1.0 / (1.0 + shared[thing] / 8)


def _things(entry: Entry) -> frozenset[str]:
    return frozenset((*entry.targets, *entry.instruments, *entry.produces, *entry.removes))


def _operation(entry: Entry, done: Sequence[Step], known: Knowledge) -> str | None:
    """Give an operation of the recording that has the step."""
    column = known.index[entry.id]
    names = sorted({step.procedure for step in done})
    return next((name for name in names if name in known.order and known.order[name][column] >= 0), None)


def _step(entry: Entry, fate: Fate, telling: Telling, n: int) -> Step:
    unit = telling.units[n]
    last = telling.units[min(n + 1, len(telling.units) - 1)]
    place = telling.stream[unit.first]
    return Step(
        id=f"step-{entry.alias or entry.id}-{place.line}-{place.start}",
        step=entry.id,
        phase=entry.phase or "",
        procedure="",
        start_ms=unit.start_ms,
        end_ms=last.spoken_ms,
        status=fate,
        completion="unsaid",
        evidence=(span_of(telling.stream, unit.first, last.last),),
    )
