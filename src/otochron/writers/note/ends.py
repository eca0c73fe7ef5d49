"""The end of a note: the surgeon's word, what is to be checked, what is to be completed."""

from __future__ import annotations

import re

from otochron.model import Correction
from otochron.writers.note.document import Line, Part, one_line, plain
from otochron.writers.note.teller import Teller, lower
from otochron.writers.wording import clock

_ADDED, _REPAIR = "missing:", "repair-"
_KIND = re.compile(r"[:-]")
_JOINT = re.compile(r"(, |: )")
_LEVELS = ("stop", "look")


def tell_corrections(teller: Teller) -> list[Line]:
    """Tell what the surgeon added or corrected; what was stays visible."""
    return [one_line([_correction(teller, correction)]) for correction in teller.record.corrections]


def _correction(teller: Teller, correction: Correction) -> Part:
    words = teller.words
    if correction.target.startswith(_ADDED):
        entry = teller.lexicon.get(f"note-{correction.target.removeprefix(_ADDED)}")
        name = (entry.tongue(teller.lang).text if entry else None) or correction.target.removeprefix(_ADDED)
        text = teller.marked(name.rstrip("."), teller.value(correction.now or ""))
    else:
        is_speech = correction.target.startswith(_REPAIR)
        was = _worded(teller, correction.was, is_speech=is_speech) if correction.was else words.say("nothing")
        now = _worded(teller, correction.now, is_speech=is_speech) if correction.now else words.say("struck")
        text = words.say("corrected", target=_kind(teller, correction.target), was=was, now=now)
    by = words.say("by", who=correction.by) if correction.by else words.say("surgeon-word")
    return plain(teller.grammar.tidy(f"{text} ({by})"))


def _kind(teller: Teller, target: str) -> str:
    """Name what was corrected: the list of facts, or the kind of thing that an id begins with."""
    name = _KIND.split(target, maxsplit=1)[0]
    return teller.words.say(f"field-{name}") if teller.words.has(f"field-{name}") else name


def _worded(teller: Teller, text: str, *, is_speech: bool) -> str:
    """Word a text made of ids and values: "stapes, fixed, present"; what was spoken stays as it is."""
    if "“" in text:
        return text
    if is_speech:
        state, _, spoken = text.partition(": ")
        return teller.marked(teller.value(state), spoken)
    return "".join(part if _JOINT.fullmatch(part) else teller.value(part) for part in _JOINT.split(text))


def tell_checks(teller: Teller) -> list[Line]:
    """Tell checks that stop or want a look, stops first; and acts that nothing says were finished."""
    lines = []
    for level in _LEVELS:
        for check in teller.record.checks:
            if check.level == level:
                message = {"en": check.message.en, "fr": check.message.fr}[teller.lang].rstrip(".")
                time = f" {teller.time(check.evidence)}" if check.evidence else ""
                text = lower(teller.grammar.tidy(message)) + time
                lines.append(one_line([plain(text)], teller.say(f"level-{level}")))
    unsaid = [step for step in teller.record.steps if step.status == "done" and step.completion == "unsaid"]
    if unsaid:
        parts = [plain(f"{teller.title(step.step)} ({clock(step.start_ms)})") for step in unsaid]
        lines.append(one_line(parts, teller.say("lead-unsaid")))
    return lines


def tell_missing(teller: Teller) -> list[Line]:
    """Tell what an operative note must hold and nobody said."""
    blank = teller.say("blank")
    messages = [{"en": m.message.en, "fr": m.message.fr}[teller.lang].rstrip(".") for m in teller.record.missing]
    return [one_line([plain(teller.grammar.tidy(message) + blank)], end="") for message in messages]
