"""Instructions for afterwards, with their times."""

from __future__ import annotations

import re

from otochron.model import Plan, Status
from otochron.writers.note.document import Line, Part, one_line
from otochron.writers.note.quotes import Quoter
from otochron.writers.note.teller import Teller

_DAYS = re.compile(r"^P(\d+)D$")
_UNIT = re.compile(r"\d([YMWDHS])$")
_TIMED = re.compile(r"^PT.*M$")


def tell_plans(teller: Teller) -> list[Line]:
    """Tell each instruction on a line of its own."""
    quoter = Quoter(teller)
    kept = [p for p in teller.record.case.plan if p.echo_of is None and p.status not in ("retracted", "past")]
    return [one_line([_part(teller, quoter, plan)]) for plan in kept]


def _part(teller: Teller, quoter: Quoter, plan: Plan) -> Part:
    what = plan.what or plan.concept
    if what is None:
        return quoter.quoted(plan.text or "…", teller.lang, plan.evidence)
    # An instruction is planned by nature: only denial, doubt and conditions are worth a word.
    status: Status = "affirmed" if plan.status in ("planned", "general") else plan.status
    text = teller.stated(what, status, teller.detail(plan, "act", "until"))
    act = plan.attributes.get("act")
    if act and teller.words.has(f"act-{act}"):
        thing = teller.grammar.of_the(teller.words.name(what), teller.words.gender(what))
        text = teller.words.say(f"act-{act}", what=thing)
    when = _when(teller, plan)
    text = teller.marked(text, when) if when else text
    if plan.purpose:
        text += f" ({teller.value(plan.purpose)})"
    return teller.timed(text, plan.evidence)


def _when(teller: Teller, plan: Plan) -> str:
    when, words = plan.when, teller.words
    parts: list[str] = []
    if when.after and (days := _DAYS.match(when.after)):
        parts.append(words.say("when-day", day=days[1]))
    elif when.after:
        parts.append(words.say("when-after", time=_value(teller, when.after)))
    if when.low and when.high:
        parts.append(words.say("between", low=_value(teller, when.low), high=_value(teller, when.high)))
    if when.for_:
        parts.append(words.say("when-for", time=_value(teller, when.for_)))
    if when.every:
        every = "when-every-f" if _gender(teller, when.every) == "f" else "when-every"
        parts.append(words.say(every, time=_value(teller, when.every)))
    until = when.until or plan.attributes.get("until")
    if until:
        parts.append(words.say("when-until", time=_value(teller, str(until))))
    if plan.due:
        parts.append(words.say("when-due", day=words.day(plan.due)))
    return ", ".join(parts)


def _value(teller: Teller, text: str) -> str:
    return teller.words.span_of_time(text) if text.startswith("P") else teller.value(text)


def _gender(teller: Teller, duration: str) -> str:
    """Give the gender of the unit of a duration, in the languages that have one."""
    match = _UNIT.search(duration)
    unit = "N" if _TIMED.match(duration) else match[1] if match else ""
    return "f" if unit and unit in teller.words.say("feminine-units").split() else "m"
