"""The end of a note: the surgeon's word, what is to be checked, what is to be completed."""

from __future__ import annotations

from otochron.writers.note.document import Line, Run, one_line, plain
from otochron.writers.note.teller import Teller, upper
from otochron.writers.wording import clock

_ADDED = "missing:"
_LEVELS = ("stop", "look")


def word_of_surgeon(teller: Teller) -> list[Line]:
    """What the surgeon added or corrected; what was stays visible."""
    lines = []
    for correction in teller.record.corrections:
        item = correction.target.removeprefix(_ADDED)
        if correction.target.startswith(_ADDED):
            entry = teller.lexicon.get(f"note-{item}")
            name = (entry.tongue(teller.lang).text if entry else None) or item
            text = teller.words.say("marked", what=name.rstrip("."), mark=correction.now or "")
        else:
            was, now = correction.was or teller.say("nothing"), correction.now or teller.say("struck")
            text = teller.words.say("corrected", target=correction.target, was=was, now=now)
        by = teller.words.say("by", who=correction.by) if correction.by else teller.words.say("surgeon-word")
        lines.append(one_line([plain(f"{upper(teller.words.grammar.tidy(text))} ({teller.words.grammar.tidy(by)}).")]))
    return lines


def to_check(teller: Teller) -> list[Line]:
    """Checks that stop or want a look, stops first; and acts that nothing says were finished."""
    lines = []
    for level in _LEVELS:
        for check in teller.record.checks:
            if check.level == level:
                message = teller.words.grammar.tidy(getattr(check.message, teller.lang))
                time = f" {teller.time(check.evidence)}" if check.evidence else ""
                lines.append(one_line([plain(f"{message.rstrip('.')}{time}.")], teller.say(f"level-{level}")))
    for step in teller.record.steps:
        if step.status == "done" and step.completion == "unsaid":
            entry = teller.lexicon.get(step.step)
            title = (entry.tongue(teller.lang).title if entry else None) or teller.name(step.step)
            text = teller.say("unsaid", what=title)
            lines.append(one_line([(Run(f"{text} ({clock(step.start_ms)})."),)], teller.say("level-look")))
    return lines


def to_complete(teller: Teller) -> list[Line]:
    """What an operative note must hold and nobody said."""
    blank = teller.say("blank")
    return [
        one_line([plain(teller.words.grammar.tidy(f"{getattr(missing.message, teller.lang).rstrip('.')} {blank}"))])
        for missing in teller.record.missing
    ]
