"""The sections that come from the facts of the case."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from otochron.model import Finding, Item, Plan, Side, Status
from otochron.writers.note.document import Line, Run, one_line
from otochron.writers.note.teller import UNSHOWN, Teller, upper


_Fact = TypeVar("_Fact", bound=Item)


def shown(items: Iterable[_Fact]) -> list[_Fact]:
    """Leave out echoes, what was taken back, and what is only habit."""
    return [item for item in items if item.echo_of is None and item.status not in UNSHOWN]


def _items(teller: Teller, items: Sequence[Item], lead: str = "") -> list[Line]:
    title = teller.say(f"lead-{lead}") if lead else ""
    return [one_line([teller.item(item)], title) for item in shown(items)]


def operation(teller: Teller) -> list[Line]:
    """What was done, on which ear, by which way."""
    case = teller.record.case
    lines = _items(teller, case.procedures, "procedure")
    if case.side.value:
        side = teller.sentence(teller.say(f"ear-{case.side.value}"), case.side.evidence)
        lines.append(one_line([side], teller.say("lead-side")))
    return [*lines, *_items(teller, case.approaches, "approach")]


def grounds(teller: Teller) -> list[Line]:
    """Diagnosis, indication, history, and the reasons in the surgeon's words."""
    case = teller.record.case
    reasons = [one_line([teller.quotation(s)], teller.say("lead-reason")) for s in shown(case.reasons)]
    return [
        *_items(teller, case.diagnoses, "diagnosis"),
        *_items(teller, case.indications, "indication"),
        *_items(teller, case.history, "history"),
        *reasons,
    ]


def anaesthesia(teller: Teller) -> list[Line]:
    """Anaesthesia and drugs, with the doses that were said."""
    case = teller.record.case
    return [*_items(teller, case.anaesthesia, "anaesthesia"), *_items(teller, case.drugs, "drug")]


def findings(teller: Teller) -> list[Line]:
    """What was found, a line for each structure; then the classes that follow."""
    groups: dict[tuple[str | None, Side | None], list[Finding]] = {}
    for finding in teller.record.case.findings:
        if finding.echo_of is None:
            groups.setdefault((finding.structure, finding.side), []).append(finding)
    lines = [_structure(teller, structure, side, group) for (structure, side), group in groups.items()]
    for found in shown(teller.record.case.classifications):
        because = teller.words.grammar.listed([teller.name(c) if c in teller.lexicon else c for c in found.because])
        text = teller.say("classified", system=found.system, value=found.value, because=because, source=found.source)
        lines.append(one_line([teller.sentence(text, found.evidence)], teller.say("lead-class")))
    return lines


def _structure(teller: Teller, structure: str | None, side: Side | None, group: list[Finding]) -> Line:
    name = upper(teller.name(structure) + teller.ear(side)) if structure else teller.say("unnamed-place")
    lead = teller.words.grammar.tidy(teller.words.say("lead", what=name))
    return one_line([_state(teller, f) for f in group], lead)


def _state(teller: Teller, finding: Finding) -> tuple[Run, ...]:
    """Tell one finding: its last state, and the states said before it."""
    words, grammar = teller.words, teller.words.grammar
    extra = teller.detail(Item(concept=None, attributes=finding.attributes))
    text = _worded(teller, finding, finding.status) + extra
    earlier = [seen for seen in finding.history[:-1] if seen.status != finding.status]
    if earlier:
        before = "; ".join(f"{_worded(teller, finding, seen.status)} {teller.time(seen.evidence)}" for seen in earlier)
        text = words.say("earlier", now=text, before=before)
    spans = finding.history[-1].evidence if earlier and finding.history[-1].evidence else finding.evidence
    return teller.sentence(grammar.tidy(text), spans)


def _worded(teller: Teller, finding: Finding, status: str) -> str:
    words, grammar = teller.words, teller.words.grammar
    concept = finding.finding
    name = words.name(concept)
    if not words.is_adjective(concept):
        denied = grammar.no(name, words.gender(concept))
        return {"present": name, "absent": denied, "uncertain": words.say("doubted", what=name)}[status]
    opposite = f"opposite-{concept}"
    agreed = grammar.agree(name, words.gender(finding.structure))
    if status == "absent":
        if words.has(opposite):
            return grammar.agree(words.say(opposite), words.gender(finding.structure))
        return words.say("not-so", what=agreed)
    return agreed if status == "present" else words.say("doubted", what=agreed)


def tissue(teller: Teller) -> list[Line]:
    """What was taken out or changed, and the specimens."""
    case = teller.record.case
    return [
        *_items(teller, case.tissue.removed, "removed"),
        *_items(teller, case.tissue.altered, "altered"),
        *_items(teller, case.specimens, "specimen"),
    ]


def incidents(teller: Teller) -> list[Line]:
    """Incidents, said or denied."""
    return _items(teller, teller.record.case.complications)


def closure(teller: Teller) -> list[Line]:
    """Closure, then packing and dressing."""
    case = teller.record.case
    return [*_items(teller, case.closure), *_items(teller, case.packing, "packing")]


def afterwards(teller: Teller) -> list[Line]:
    """Instructions with their times."""
    return [one_line([_plan(teller, plan)]) for plan in teller.record.case.plan if _is_open(plan)]


def _is_open(plan: Plan) -> bool:
    return plan.echo_of is None and plan.status not in {"retracted", "past"}


def _plan(teller: Teller, plan: Plan) -> tuple[Run, ...]:
    what = plan.what or plan.concept
    if what is None and plan.text:
        return teller.quoted(plan.text, _language(teller, plan), plan.evidence)
    # An instruction is planned by nature: only denial, doubt and conditions are worth a word.
    status: Status = "affirmed" if plan.status in ("planned", "general") else plan.status
    text = teller.stated(what, status, extra=teller.ear(plan.side))
    when = _when(teller, plan)
    if when:
        text = teller.words.grammar.tidy(teller.words.say("marked", what=text, mark=when))
    if plan.purpose:
        text += f" ({teller.name(plan.purpose) if plan.purpose in teller.lexicon else plan.purpose})"
    return teller.sentence(text, plan.evidence)


def _language(teller: Teller, plan: Plan) -> str:
    for span in plan.evidence[:1]:
        line = teller.lines.get(span.line)
        for tongue in line.languages if line else ():
            if tongue.start <= span.start < tongue.end:
                return tongue.language
    return teller.lang


def _when(teller: Teller, plan: Plan) -> str:
    when, words = plan.when, teller.words
    parts = []
    for key, value in (("after", when.after), ("for", when.for_), ("until", when.until), ("every", when.every)):
        if not value:
            continue
        shown_value = words.name(value) if value in teller.lexicon else words.span_of_time(value)
        if key == "after" and when.low and when.high and when.low != when.high:
            shown_value = words.say("between", low=words.span_of_time(when.low), high=words.span_of_time(when.high))
        parts.append(words.say(f"when-{key}", time=shown_value))
    if not parts and when.low and when.high:
        time = words.say("between", low=words.span_of_time(when.low), high=words.span_of_time(when.high))
        parts.append(words.say("when-after", time=time))
    if plan.due:
        parts.append(words.say("when-due", day=words.day(plan.due)))
    return ", ".join(parts)


def cautions(teller: Teller) -> list[Line]:
    """Cautions in the surgeon's own words."""
    case = teller.record.case
    return [one_line([teller.quotation(s)]) for s in case.cautions if s.echo_of is None and s.status != "retracted"]

