"""What was found: a line for each structure, in the order in which it was told; then the classes that follow."""

from __future__ import annotations

from otochron.model import Classification, Finding, Item, Side
from otochron.writers.note.document import Line, Part, one_line
from otochron.writers.note.facts import shown
from otochron.writers.note.teller import Teller


def tell_findings(teller: Teller) -> list[Line]:
    """Tell the findings and the classes. What is not named is not told: it was not mentioned."""
    groups: dict[tuple[str | None, Side | None], list[Finding]] = {}
    for finding in teller.record.case.findings:
        if finding.echo_of is None:
            groups.setdefault((finding.structure, finding.side), []).append(finding)
    lines = []
    for (structure, side), group in groups.items():
        name = teller.name(structure) + teller.ear(side) if structure else teller.say("unnamed-place")
        lines.append(one_line([_part(teller, finding) for finding in group], teller.lead(name)))
    classes = [_class(teller, found) for found in shown(teller.record.case.classifications)]
    return [*lines, *(one_line([found], teller.say("lead-class")) for found in classes)]


def _part(teller: Teller, finding: Finding) -> Part:
    """Tell one finding: its states in order, if there were several, else the one with all its times."""
    extra = teller.detail(Item(concept=None, attributes=finding.attributes))
    if len(finding.history) <= 1:
        return teller.timed(_worded(teller, finding, finding.status) + extra, finding.evidence)
    first, *rest = finding.history
    told = [f"{_worded(teller, finding, first.status)} {teller.time(first.evidence)}"]
    told += [f"{_later(teller, finding, seen.status)} {teller.time(seen.evidence)}" for seen in rest[:-1]]
    told.append(_later(teller, finding, rest[-1].status) + extra)
    return teller.timed(", ".join(told), rest[-1].evidence)


def _later(teller: Teller, finding: Finding, status: str) -> str:
    if status == "absent":
        return teller.words.say("no-longer")
    return teller.words.say("then", what=_worded(teller, finding, status))


def _worded(teller: Teller, finding: Finding, status: str) -> str:
    """Word a state: an adjective agrees and is denied by "not", a noun is denied by "no"."""
    words, grammar = teller.words, teller.grammar
    name, gender = words.name(finding.finding), words.gender(finding.structure)
    if not words.is_adjective(finding.finding):
        shown_name, denied = name, grammar.no(name, words.gender(finding.finding))
    elif words.has(f"opposite-{finding.finding}"):
        shown_name = grammar.agree(name, gender)
        denied = grammar.agree(words.say(f"opposite-{finding.finding}"), gender)
    else:
        shown_name = grammar.agree(name, gender)
        denied = words.say("not-so", what=shown_name)
    return {"present": shown_name, "absent": denied, "uncertain": words.say("doubted", what=shown_name)}[status]


def _class(teller: Teller, found: Classification) -> Part:
    """Tell a class and why; its source stands in the record."""
    text = teller.marked(teller.value(found.system), _of_ids(teller, found.value))
    if found.because:
        told = dict.fromkeys(_of_ids(teller, reason.rsplit(": ", 1)[-1]) for reason in found.because)
        reasons = ", ".join(told)
        text = teller.words.say("because", what=text, reasons=reasons)
    return teller.timed(text + teller.detail(found), found.evidence)


def _of_ids(teller: Teller, text: str) -> str:
    """Word a text of the record that is made of ids: "incus-long-process eroded"."""
    if teller.words.has(f"value-{text}"):
        return teller.words.say(f"value-{text}")
    told: list[str] = []
    gender: str | None = None
    for word in text.split(" "):
        bare = word.rstrip(":,;")
        if teller.words.is_adjective(bare):
            shown_word = teller.grammar.agree(teller.words.name(bare), gender)
        elif bare in teller.lexicon or teller.words.has(f"value-{bare}"):
            shown_word = teller.value(bare)
            gender = teller.words.gender(bare)
        else:
            shown_word = bare
        told.append(shown_word + word[len(bare) :])
    return " ".join(told)
