"""Score of the case: facts right, wrong, missed, and given without any gold fact (``extra``)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from otochron.model import Finding, Item, Plan, Record
from otochron.score.gold import Gold, GoldFact
from otochron.score.measures import ratio
from otochron.score.places import Terms, heard_tokens
from otochron.score.words import Numbers, Part

_NEAR_S = 45.0
_LISTS = [
    "approaches",
    "diagnoses",
    "indications",
    "history",
    "anaesthesia",
    "drugs",
    "grafts",
    "removed",
    "altered",
    "specimens",
    "complications",
    "closure",
    "packing",
]
_DENIED = {"negated": "absent", "absent": "absent", "uncertain": "uncertain"}


def score_facts(gold: Gold, record: Record, terms: Terms) -> Part:
    """Compare side, procedures, findings, implants, plan, requests, cautions and the other facts."""
    part = Part(dict.fromkeys(("right", "wrong", "missed", "extra", "given"), 0))
    _side(gold, record, part)
    done = [i for i in record.case.procedures if i.status == "affirmed"]
    _lists(part, "procedure", [GoldFact(what=p, status="affirmed") for p in gold.procedures], done, terms)
    _lists(
        part,
        "approach",
        [GoldFact(what=a, status="affirmed") for a in gold.approach],
        record.case.approaches,
        terms,
    )
    _findings(gold, record, part, terms)
    _implants(gold, record, part, terms)
    _plan(gold, record, part, terms)
    for name, wanted in (("request", gold.requests), ("caution", gold.cautions)):
        _timed(part, name, wanted, record.case.requests if name == "request" else record.case.cautions, terms)
    for field in _LISTS:
        if field == "approaches" and gold.approach:
            continue
        facts = [f for f in gold.facts if f.field == field]
        items: Sequence[Item] = (
            getattr(record.case.tissue, field) if field in {"removed", "altered"} else getattr(record.case, field)
        )
        _lists(part, field, facts, items, terms)
    return part


def _side(gold: Gold, record: Record, part: Part) -> None:
    if not gold.side:
        return
    value = record.case.side.value
    outcome = "missed" if value is None else "right" if value == gold.side else "wrong"
    _tell(part, "side", outcome, 0, gold=gold.side, made=value)


def _tell(part: Part, name: str, outcome: str, time_s: float, **more: object) -> None:
    part.counts[outcome] += 1
    part.counts[f"{name} {outcome}"] = part.counts.get(f"{name} {outcome}", 0) + 1
    if outcome in {"right", "wrong", "extra"}:
        part.counts["given"] += 1
    if outcome != "right":
        part.miss(f"{name} {outcome}", time_s, "", **more)


def _names(fact: GoldFact) -> list[str]:
    return [fact.what] if isinstance(fact.what, str) else list(fact.what or [])


def _means(fact: GoldFact, concept: str | None, terms: Terms) -> bool:
    return any(terms.same(name, concept) for name in _names(fact)) if concept else False


def _lists(part: Part, name: str, wanted: Sequence[GoldFact], made: Sequence[Item], terms: Terms) -> None:
    used: set[int] = set()
    for fact in wanted:
        found = [n for n, item in enumerate(made) if n not in used and _means(fact, item.concept, terms)]
        status = fact.status or "affirmed"
        same = [n for n in found if made[n].status == status] or [n for n in found if _alike(status, made[n].status)]
        if same:
            used.add(same[0])
            _tell(part, name, "right", fact.time)
        elif found:
            used.add(found[0])
            _tell(part, name, "wrong", fact.time, what=fact.what, gold=status, made=made[found[0]].status)
        else:
            _tell(part, name, "missed", fact.time, what=fact.what, status=status)
    for n, item in enumerate(made):
        if n not in used and item.echo_of is None and not any(_means(f, item.concept, terms) for f in wanted):
            at = item.evidence[0].start_ms / 1000 if item.evidence else 0
            _tell(part, name, "extra", at, made=item.concept, status=item.status)


def _alike(gold: str, made: str) -> bool:
    return {gold, made} in ({"present", "affirmed"}, {"absent", "negated"}, {"done", "affirmed"})


def _findings(gold: Gold, record: Record, part: Part, terms: Terms) -> None:
    used: set[int] = set()
    made = record.case.findings
    for fact in gold.findings:
        near = [n for n, f in enumerate(made) if _same_finding(fact, f, terms)]
        status = _status(fact)
        same = [n for n in near if made[n].status == status or any(h.status == status for h in made[n].history)]
        if same:
            used.update(same)
            _tell(part, "finding", "right", fact.time)
        elif near:
            used.update(near)
            _tell(
                part,
                "finding",
                "wrong",
                fact.time,
                structure=fact.structure,
                value=fact.value,
                gold=status,
                made=made[near[0]].status,
            )
        else:
            _tell(
                part,
                "finding",
                "missed",
                fact.time,
                structure=fact.structure,
                value=fact.value,
                status=status,
            )
    for n, finding in enumerate(made):
        if n not in used and finding.echo_of is None:
            at = finding.evidence[0].start_ms / 1000 if finding.evidence else 0
            _tell(
                part,
                "finding",
                "extra",
                at,
                structure=finding.structure,
                finding=finding.finding,
                status=finding.status,
            )


def _status(fact: GoldFact) -> str:
    return _DENIED.get(fact.status, "present")


def _same_finding(fact: GoldFact, made: Finding, terms: Terms) -> bool:
    structure = fact.structure is None or terms.same(fact.structure, made.structure or made.finding)
    value = str(fact.value) if fact.value is not None else ""
    return structure and (not value or terms.same(value, made.finding) or value == made.finding)


def _length(record: Record, measurement: str | None) -> float | None:
    return next((m.value for m in record.measurements if m.id == measurement), None)


def _implants(gold: Gold, record: Record, part: Part, terms: Terms) -> None:
    used: set[int] = set()
    made = record.case.implants
    for fact in gold.implants:
        found = [n for n, i in enumerate(made) if n not in used and _means(fact, i.concept, terms)]
        if not found:
            _tell(part, "implant", "missed", fact.time, what=fact.what)
            continue
        used.add(found[0])
        implant = made[found[0]]
        length, diameter = _length(record, implant.length), _length(record, implant.diameter)
        status = fact.status or "affirmed"
        wrong = (
            _differs(fact.length, length)
            or _differs(fact.diameter, diameter)
            or not (implant.status == status or _alike(status, implant.status))
        )
        _tell(
            part,
            "implant",
            "wrong" if wrong else "right",
            fact.time,
            what=fact.what,
            gold=[fact.length, fact.diameter, status],
            made=[length, diameter, implant.status],
        )
    for n, implant in enumerate(made):
        if n not in used:
            _tell(part, "implant", "extra", 0, made=implant.concept, status=implant.status)


def _differs(gold: float | None, made: float | None) -> bool:
    return gold is not None and (made is None or not math.isclose(gold, made, rel_tol=1e-6))


def _plan(gold: Gold, record: Record, part: Part, terms: Terms) -> None:
    used: set[int] = set()
    for fact in gold.plan:
        near = [n for n, p in enumerate(record.case.plan) if n not in used and _near(fact, p)]
        same = [n for n in near if _planned(fact, record.case.plan[n], terms)]
        timed = [n for n in same or near if _when(fact, record.case.plan[n])]
        if same and timed:
            used.add(timed[0])
            _tell(part, "plan", "right", fact.time)
        elif same:
            used.add(same[0])
            _tell(
                part,
                "plan",
                "wrong",
                fact.time,
                what=fact.what,
                gold=[fact.after, fact.for_, fact.until],
                made=record.case.plan[same[0]].when.model_dump(by_alias=True),
            )
        else:
            _tell(part, "plan", "missed", fact.time, what=fact.what, after=fact.after)
    for n, plan in enumerate(record.case.plan):
        if n not in used and plan.echo_of is None:
            at = plan.evidence[0].start_ms / 1000 if plan.evidence else 0
            _tell(part, "plan", "extra", at, made=plan.what or plan.concept, text=plan.text)


def _near(fact: GoldFact, item: Item) -> bool:
    return any(abs(span.start_ms / 1000 - fact.time) <= _NEAR_S for span in item.evidence)


def _planned(fact: GoldFact, plan: Plan, terms: Terms) -> bool:
    if _means(fact, plan.what, terms) or _means(fact, plan.concept, terms):
        return True
    said = set(heard_tokens((plan.text or "") + " " + (plan.what or "").replace("-", " ")))
    wanted = {word for name in _names(fact) for word in heard_tokens(name)}
    return bool(wanted) and len(wanted & said) * 2 >= len(wanted)


def _when(fact: GoldFact, plan: Plan) -> bool:
    bounds = [plan.when.low, plan.when.high]
    pairs: list[tuple[Any, Any]] = [(fact.after, plan.when.after), (fact.for_, plan.when.for_)]
    if isinstance(fact.until, str):
        pairs.append((fact.until, plan.when.until))
    return all(gold is None or gold == made or (isinstance(gold, list) and gold == bounds) for gold, made in pairs)


def _timed(part: Part, name: str, wanted: Sequence[GoldFact], made: Sequence[Any], terms: Terms) -> None:
    used: set[int] = set()
    for fact in wanted:
        near = [n for n, item in enumerate(made) if n not in used and _near(fact, item)]
        same = [n for n in near if any(_means(fact, c, terms) for c in _about(made[n]))]
        if same:
            used.add(min(same, key=lambda n: abs(made[n].start_ms / 1000 - fact.time)))
            _tell(part, name, "right", fact.time)
        else:
            _tell(part, name, "missed", fact.time, what=fact.what)
    for n, item in enumerate(made):
        if n not in used and item.echo_of is None:
            _tell(part, name, "extra", item.start_ms / 1000, made=[c for c in _about(item) if c])


def _about(item: Any) -> list[str | None]:
    return [item.concept, getattr(item, "what", None), *getattr(item, "about", ())]


def fact_numbers(counts: dict[str, int]) -> Numbers:
    """Share of gold facts given right, share of given facts that are wrong, and the counts."""
    get = counts.get
    wanted = get("right", 0) + get("wrong", 0) + get("missed", 0)
    numbers: Numbers = {
        "gold": wanted,
        "right": ratio(get("right", 0), wanted),
        "wrong_of_given": ratio(get("wrong", 0), get("given", 0)),
        "missed": get("missed", 0),
        "extra": get("extra", 0),
    }
    numbers |= {name: count for name, count in sorted(counts.items()) if " " in name}
    return numbers
