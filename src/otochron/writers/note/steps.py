"""The course of the operation: what was done, in the past tense, and what was announced and not done."""

from __future__ import annotations

from otochron.model import Measurement, Step
from otochron.writers.note.document import Line, Part, one_line, plain
from otochron.writers.note.teller import Teller, upper
from otochron.writers.wording import clock, size

_MOST_INSTRUMENTS = 3


def tell_done(teller: Teller) -> list[Line]:
    """Tell the steps that were done, in order, with their instruments and sizes."""
    return [one_line([_told(teller, step)]) for step in teller.record.steps if step.status == "done"]


def _told(teller: Teller, step: Step) -> Part:
    words = teller.words
    entry = teller.lexicon.get(step.step)
    past = entry.tongue(teller.lang).past if entry else None
    text = past or words.say("step-done", what=words.name(step.step))
    if step.revisit_of:
        text = words.say("step-again", what=text)
    names = list(dict.fromkeys(step.instruments))[:_MOST_INSTRUMENTS]
    tools = [teller.grammar.the(words.name(c), words.gender(c)) for c in names if words.name(c) not in text]
    if tools:
        text = words.say("step-with", what=text, tools=teller.grammar.listed(tools))
    told = list(dict.fromkeys(size_of(teller, m) for m in _sizes(teller, step)))
    if told:
        text = words.say("step-sizes", what=text, sizes="; ".join(told))
    text = teller.grammar.tidy(text + teller.ear(step.side))
    return plain(f"{upper(text)} ({clock(step.start_ms)})")


def _sizes(teller: Teller, step: Step) -> list[Measurement]:
    """Give the sizes of a step; waiting times are left to the record."""
    found = [teller.sizes[name] for name in step.measurements if name in teller.sizes]
    return [m for m in found if not m.echo_of and m.status in ("affirmed", "uncertain") and m.quantity != "time"]


def size_of(teller: Teller, measured: Measurement, *, named: bool = True) -> str:
    """Give a size with what it measures and the part it plays."""
    words = teller.words
    amount = size(measured, teller.lang)
    if measured.approximate:
        amount = words.say("about", size=amount)
    dimension = f"dimension-{measured.dimension}".replace(" ", "-")
    if words.has(dimension):
        amount = words.say("sized", dimension=words.say(dimension), size=amount)
    # A size that is only planned is one aimed at, whatever part it was to play.
    role = "target" if measured.status == "planned" else measured.role
    if role:
        amount = words.say(f"role-{role}", size=amount)
    if measured.status == "uncertain":
        amount = words.say("doubted", what=amount)
    return teller.marked(words.name(measured.of), amount) if named and measured.of else amount


def tell_not_done(teller: Teller) -> list[Line]:
    """Tell the steps that were planned and not said to be done, and those given up."""
    lines = []
    finished = {step.step for step in teller.record.steps if step.status == "done"}
    for step in teller.record.steps:
        if step.status == "done":
            continue
        later = step.status == "planned" and step.step in finished
        mark = teller.words.say("step-planned-later" if later else f"step-{step.status}")
        text = teller.grammar.tidy(teller.marked(teller.title(step.step) + teller.ear(step.side), mark))
        lines.append(one_line([plain(f"{upper(text)} ({clock(step.start_ms)})")]))
    return lines
