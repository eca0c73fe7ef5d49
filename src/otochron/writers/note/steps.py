"""The course of the operation: what was done, in the past tense, and what was announced and not done."""

from __future__ import annotations

from otochron.model import Measurement, Step
from otochron.writers.note.document import Line, Part, one_line, plain
from otochron.writers.note.teller import Teller
from otochron.writers.wording import clock, size

_MOST_INSTRUMENTS = 3
_TELLING = 6
"""A word of so many letters in the sentence already names the instrument."""


def tell_done(teller: Teller) -> list[Line]:
    """Tell the steps that were done, in order, with their instruments and sizes."""
    return [one_line([_told(teller, step)]) for step in teller.record.steps if step.status == "done"]


def _told(teller: Teller, step: Step) -> Part:
    words = teller.words
    entry = teller.lexicon.get(step.step)
    past = entry.tongue(teller.lang).past if entry else None
    text = words.proper(past) if past else words.say("step-done", what=words.name(step.step))
    if step.revisit_of:
        text = words.say("step-again", what=text)
    tools = _tools(teller, step, text)
    if tools:
        text = words.say("step-with", what=text, tools=teller.grammar.listed(tools))
    told = _sizes(teller, step)
    if told:
        text = words.say("step-sizes", what=text, sizes="; ".join(told))
    if step.side:
        text = words.say("lead", what=words.say(f"ear-{step.side}")) + f" {text}"
    return plain(f"{teller.grammar.tidy(text)} ({clock(step.start_ms)})")


def _tools(teller: Teller, step: Step, told: str) -> list[str]:
    """Give the instruments with their articles: not the everyday ones, nor one that another names more exactly."""
    words = teller.words
    used = [c for c in dict.fromkeys(step.instruments) if not words.is_listed(c, "note-everyday")]
    broader = {name for c in used if c in teller.lexicon for name in teller.lexicon[c].broader}
    said = {word for word in told.split() if len(word) >= _TELLING}
    kept = [c for c in used if c not in broader and not said & set(words.name(c).split())]
    return [teller.grammar.the(words.name(c), words.gender(c)) for c in kept[:_MOST_INSTRUMENTS]]


def _sizes(teller: Teller, step: Step) -> list[str]:
    """Give the sizes of a step by what they measure.

    Left to the list of sizes: waiting times, hearing tests, sizes of nothing named, and values on the way to another.
    """
    groups: dict[str, list[Measurement]] = {}
    for name in step.measurements:
        measured = teller.sizes.get(name)
        if measured is not None and measured.of and _is_woven(teller, measured):
            groups.setdefault(measured.of, []).append(measured)
    told = []
    for concept, group in groups.items():
        amounts = dict.fromkeys(size_of(teller, m) for m in _reached(group))
        told.append(teller.marked(teller.words.name(concept), teller.words.say("joint-inner").join(amounts)))
    return told


def _reached(group: list[Measurement]) -> list[Measurement]:
    """Leave out values on the way to another, and a value that is told again with the part it plays."""
    kept = [m for m in group if m.role != "intermediate"] or group[-1:]
    told = {(m.dimension, m.value, m.low, m.high, m.unit) for m in kept if m.role}
    return [m for m in kept if m.role or (m.dimension, m.value, m.low, m.high, m.unit) not in told]


def _is_woven(teller: Teller, measured: Measurement) -> bool:
    entry = teller.lexicon.get(measured.of)
    if measured.echo_of or measured.status not in ("affirmed", "uncertain") or measured.quantity == "time":
        return False
    return entry is None or entry.kind != "test"


def size_of(teller: Teller, measured: Measurement, *, provisional: bool = False) -> str:
    """Give a size with its dimension and the part it plays; of an implant, a value on the way is provisional."""
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
        part = "provisional" if role == "intermediate" and provisional else role
        amount = words.say(f"role-{part}", size=amount)
    return words.say("doubted", what=amount) if measured.status == "uncertain" else amount


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
        lines.append(one_line([plain(f"{text} ({clock(step.start_ms)})")]))
    return lines
