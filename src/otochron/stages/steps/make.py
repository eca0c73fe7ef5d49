"""Make the steps of the record from the stretches."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from otochron.lexicon import Entry
from otochron.lexicon.operations import Guess, likely
from otochron.lexicon.rules import members
from otochron.model import Status, Step
from otochron.stages.steps.details import Ends, Sizes, instruments, spans, structures
from otochron.stages.steps.knowledge import Knowledge, Matrix
from otochron.stages.steps.segments import Stretch, stretches
from otochron.stages.steps.units import Telling, Unit

_NOT_DONE = frozenset({"negated", "hypothetical", "past", "retracted"})


def make_steps(telling: Telling, path: Sequence[int], shares: Matrix, known: Knowledge) -> tuple[Step, ...]:
    """Give the steps that were done, in order of time."""
    record, stream, units = telling.record, telling.stream, telling.units
    acts = [(m.start_ms, m.concept, m.status) for m in record.mentions if m.kind == "action"]
    lasting = members(known.lexicon, "lasting-act")
    left = [stream[hit.first].start_ms for hit in known.lexicon.cue_finder("left-alone").find(stream)]
    parts = [
        part
        for part in stretches(path)
        if part.column != known.none
        and not _is_denied(acts, left, units[part.first : part.last], known.steps[part.column], lasting)
    ]
    where = operations(parts, known, telling.guesses)
    sizes = Sizes(record.measurements)
    ends = Ends(known)
    first_of: dict[int, str] = {}
    found: list[Step] = []
    for n, part in enumerate(parts):
        own = units[part.first : part.last]
        start_ms, end_ms = own[0].start_ms, own[-1].end_ms
        step = known.steps[part.column]
        place = stream[own[0].first]
        name = f"step-{step.alias or step.id}-{place.line}-{place.start}"
        evidence, echoes = spans(stream, units, part, shares)
        found.append(
            Step(
                id=name,
                step=step.id,
                phase=step.phase or "",
                procedure=where[n],
                start_ms=start_ms,
                end_ms=end_ms,
                status="done",
                completion=ends.completion(units, part, [other.column for other in parts[n + 1 : n + 4]]),
                evidence=evidence,
                echoes=echoes,
                structures=structures(own),
                instruments=instruments(own),
                measurements=sizes.between(start_ms, end_ms),
                revisit_of=first_of.get(part.column),
                score=round(float(shares[part.first : part.last, part.column].max()), 4),
            )
        )
        first_of.setdefault(part.column, name)
    return tuple(found)


def _is_denied(
    acts: Sequence[tuple[int, str | None, Status]],
    left: Sequence[int],
    own: Sequence[Unit],
    step: Entry,
    lasting: frozenset[str],
) -> bool:
    """Tell whether all that is told of the step's own acts says that they were not done.

    "I do not cut the tendon" and "there is a plaque, we leave it" speak of the act or its thing as doing it would;
    they must never be told as done.
    """
    low = bisect_left(acts, own[0].start_ms, key=lambda act: act[0])
    high = bisect_right(acts, own[-1].end_ms, key=lambda act: act[0])
    told = [status for _, concept, status in acts[low:high] if concept in step.actions]
    if not told:
        there = bisect_left(left, own[0].start_ms) < bisect_right(left, own[-1].end_ms)
        return there and bool(step.removes or lasting.intersection(step.actions))
    return all(status in _NOT_DONE for status in told)


def operations(parts: Sequence[Stretch], known: Knowledge, guesses: Sequence[Guess]) -> list[str]:
    """Give the operation of each step: one whose needed step was done, then the likeliest that has the step."""
    done = {known.steps[part.column].id for part in parts}
    general = {name for step in done for name in known.lexicon[step].broader}
    rank = {guess.procedure: n for n, guess in enumerate(guesses)}
    sure = [name for name in known.order if {*done, *general} & set(known.lexicon[name].needs)]
    names = sorted(known.order, key=lambda name: (name not in sure, rank.get(name, len(rank)), name))
    told = likely(list(guesses))
    found: list[str] = []
    for part in parts:
        having = [name for name in names if known.order[name][part.column] >= 0]
        pick = next((name for name in having if name in sure or name in told), None)
        found.append(pick or (having[0] if having else names[0] if names else ""))
    return found
