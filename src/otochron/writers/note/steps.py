"""The course of the operation: what was done, in the past tense, and what was announced and not done."""

from __future__ import annotations

from otochron.model import Measurement, Step
from otochron.writers.note.document import Line, Run, one_line
from otochron.writers.note.teller import Teller, upper
from otochron.writers.wording import clock, size

_MOST_INSTRUMENTS = 3


def done(teller: Teller) -> list[Line]:
    """Steps that were done, in order, with their instruments and sizes."""
    return [one_line([_told(teller, step)]) for step in teller.record.steps if step.status == "done"]


def _told(teller: Teller, step: Step) -> tuple[Run, ...]:
    words = teller.words
    entry = teller.lexicon.get(step.step)
    tongue = entry.tongue(teller.lang) if entry else None
    past = tongue.past if tongue and tongue.past else words.say("step-done", what=words.name(step.step))
    text = words.say("step-again", what=past) if step.revisit_of else past
    tools = [words.grammar.the(words.name(c), words.gender(c)) for c in step.instruments[:_MOST_INSTRUMENTS]]
    if tools:
        text = words.say("step-with", what=text, tools=words.grammar.listed(tools))
    told = _sizes(teller, step)
    if told:
        text = words.say("step-sizes", what=text, sizes="; ".join(told))
    text += teller.ear(step.side)
    times = f"({clock(step.start_ms)})"
    return (Run(f"{upper(words.grammar.tidy(text))} {times}."),)


def _sizes(teller: Teller, step: Step) -> list[str]:
    """Give the sizes of a step, each once, with what they measure where the step does not say it."""
    found: list[str] = []
    for name in step.measurements:
        measured = teller.sizes.get(name)
        if measured is None or measured.echo_of or measured.status not in ("affirmed", "uncertain") or measured.quantity == "time":
            continue
        text = size_of(teller, measured)
        if text not in found:
            found.append(text)
    return found


def size_of(teller: Teller, measured: Measurement) -> str:
    """Give a size with what it measures and the part it plays."""
    words = teller.words
    what = words.name(measured.of) if measured.of else ""
    dimension = measured.dimension
    if dimension and words.has(f"dimension-{dimension}"):
        kind = words.say(f"dimension-{dimension}")
        what = words.say("dimension-of", what=what, dimension=kind) if what else kind
    amount = size(measured, teller.lang)
    if measured.approximate:
        amount = words.say("about", size=amount)
    if measured.role:
        amount = words.say(f"role-{measured.role}", size=amount)
    if measured.status == "uncertain":
        amount = words.say("doubted", what=amount)
    return words.say("marked", what=what, mark=amount) if what else amount


def not_done(teller: Teller) -> list[Line]:
    """Steps that were planned and not said to be done, and those given up."""
    lines = []
    finished = {step.step for step in teller.record.steps if step.status == "done"}
    for step in teller.record.steps:
        if step.status == "done":
            continue
        entry = teller.lexicon.get(step.step)
        title = (entry.tongue(teller.lang).title if entry else None) or teller.name(step.step)
        later = step.status == "planned" and step.step in finished
        mark = teller.words.say("step-planned-later" if later else f"step-{step.status}")
        text = teller.words.grammar.tidy(teller.words.say("marked", what=title + teller.ear(step.side), mark=mark))
        lines.append(one_line([(Run(f"{upper(text)} ({clock(step.start_ms)})."),)]))
    return lines
