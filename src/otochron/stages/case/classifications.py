"""Classes, as said and as they follow from the findings. Tables: ``lexicons/rules/classifications.toml``."""

from __future__ import annotations

from collections.abc import Sequence

from otochron.lexicon.rules import members, named, rules, value_of
from otochron.model import Case, Classification, Finding, Span
from otochron.stages.case.chain import Chain, chain_of
from otochron.stages.case.items import unique
from otochron.stages.case.scene import Scene
from otochron.text.numbers import read_numbers

_STAGES = {1: "I", 2: "II", 3: "III", 4: "IV"}
_REACH = 5


def classify(scene: Scene, case: Case) -> tuple[Classification, ...]:
    """Give the classes with their because and source.

    Notes
    -----
    What was said comes first, marked ``said``. A class is computed only from parts that were told; a MERI
    total only when every item was; IOOG only the verified code; Wullstein only with its convention named.
    """
    if scene.side == "both":
        return _said(scene)
    chain = chain_of(scene, case.findings, case.tissue)
    austin = _austin(scene, chain)
    found = [*_said(scene), *([austin] if austin else [])]
    found += _meri(scene, case, austin)
    found += _stage(scene, case)
    found += _by_procedure(scene, case, austin)
    return tuple(found)


def _austin(scene: Scene, chain: Chain) -> Classification | None:
    for entry in rules(scene.lexicon, "austin-kartush"):
        for letter in ("E", "F"):
            if set(named(entry, letter)) <= set(chain.there) and chain.there.get("incus", True):
                return _class("Austin-Kartush", letter, chain.because, entry.source, chain.evidence)
        for letter in ("O", "A", "B", "C", "D"):
            if set(named(entry, letter)) <= chain.signs:
                return _class("Austin-Kartush", letter, chain.because, entry.source, chain.evidence)
    return None


def _class(system: str, value: str, because: Sequence[str], source: str, evidence: Sequence[Span]) -> Classification:
    return Classification(
        concept=None,
        system=system,
        value=value,
        because=tuple(because),
        source=source,
        evidence=unique(evidence),
    )


def _last(findings: Sequence[Finding], names: Sequence[str], structure: str | None) -> list[Finding]:
    return [f for f in findings if f.finding in names and (structure is None or f.structure in (structure, None))]


def _meri(scene: Scene, case: Case, austin: Classification | None) -> list[Classification]:
    """Give the items of the index that were told, and the total only without holes."""
    found: list[Classification] = []
    points: dict[str, int] = {}
    for entry in rules(scene.lexicon, "meri"):
        structure = entry.values.get("structure")
        told = _last(case.findings, entry.of, structure if isinstance(structure, str) else None)
        known = [d for d in case.diagnoses if d.concept in entry.of and d.status == "affirmed"]
        state = (
            "present"
            if known or any(f.status == "present" or f.history[0].status == "present" for f in told)
            else ("absent" if told and all(f.status == "absent" for f in told) else None)
        )
        if state is None:
            continue
        name = entry.id.removeprefix("meri-")
        points[name] = int(entry.values[state])  # type: ignore[arg-type]
        evidence = [s for f in told for s in f.evidence] + [s for d in known for s in d.evidence]
        found.append(
            _class("MERI item", f"{name} {state}: {points[name]}", [f"{name} {state}"], entry.source, evidence)
        )
    if austin:
        for entry in rules(scene.lexicon, "meri-points"):
            value = entry.values[austin.value]
            points["ossicular-status"] = int(value)  # type: ignore[arg-type]
            found.append(
                _class(
                    "MERI item",
                    f"ossicular-status {austin.value}: {value}",
                    austin.because,
                    entry.source,
                    austin.evidence,
                )
            )
    total = [
        _class("MERI", str(sum(points.values())), sorted(points), entry.source, [])
        for entry in rules(scene.lexicon, "meri-total")
        if set(named(entry, "items")) <= set(points)
    ]
    return [*found, *total]


def _stage(scene: Scene, case: Case) -> list[Classification]:
    """Give the stage of a cholesteatoma from the sites at which it was found."""
    for entry in rules(scene.lexicon, "stam"):
        sites: dict[str, list[Span]] = {}
        for finding in case.findings:
            site = entry.values.get(finding.structure or "")
            if isinstance(site, str) and _is_cholesteatoma(finding):
                sites.setdefault(site, []).extend(finding.evidence)
        if not sites:
            return []
        worse = next(
            (
                r
                for r in rules(scene.lexicon, "stam-complicated")
                for f in case.findings
                if f.finding in r.of and f.status == "present"
            ),
            None,
        )
        stage = str(worse.values["stage"]) if worse else "I" if len(sites) == 1 else "II"
        because = [f"cholesteatoma at {site}" for site in sorted(sites)]
        evidence = [span for spans in sites.values() for span in spans]
        return [_class("EAONO/JOS stage", stage, because, (worse or entry).source, evidence)]
    return []


def _is_cholesteatoma(finding: Finding) -> bool:
    names = ("cholesteatoma", "residual-cholesteatoma", "epithelial-pearl")
    return finding.finding in names and any(seen.status == "present" for seen in finding.history)


def _by_procedure(scene: Scene, case: Case, austin: Classification | None) -> list[Classification]:
    found: list[Classification] = []
    done = {item.concept: item for item in case.procedures if item.status == "affirmed"}
    for entry in rules(scene.lexicon, "ioog"):
        for name, code in entry.values.items():
            if name in done:
                found.append(_class("IOOG SAMEO-ATO, mastoid", str(code), [name], entry.source, done[name].evidence))
    for entry in rules(scene.lexicon, "wullstein"):
        named_done = next((n for n in entry.of if n in done), None)
        value = entry.values.get(austin.value) if austin else None
        if austin and named_done and isinstance(value, str):
            found.append(_class(str(entry.values["system"]), value, austin.because, entry.source, austin.evidence))
    return found


def _said(scene: Scene) -> tuple[Classification, ...]:
    """Give the classes that the surgeon names: "Austin type A", "stade deux"."""
    reading = scene.reading
    found: list[Classification] = []
    letters = {hit.first: hit for hit in reading.hits("class-letter")}
    numbers = {n.first: n for n in read_numbers(reading.words)}
    for spot in reading.spots:
        system = value_of(scene.lexicon, "said-class", spot.concept)
        if system is None or spot.mention.status not in ("affirmed", "uncertain"):
            continue
        for place in range(spot.last, min(spot.last + _REACH, len(reading.words))):
            word = reading.words[place].key
            begins = place == spot.last or reading.has(place - 1, place, "class-type")
            if system.startswith("Austin") and place in letters and begins:
                found.append(_named(spot.concept, system, word.upper(), reading.span(spot.first, place + 1)))
                break
            if place in numbers and numbers[place].value in _STAGES:
                found.append(
                    _named(
                        spot.concept,
                        system,
                        _STAGES[int(numbers[place].value)],
                        reading.span(spot.first, place + 1),
                    )
                )
                break
    stages = members(scene.lexicon, "no-diagnosis")
    for hit in reading.hits("class-stage"):
        number = numbers.get(hit.last)
        near = [s for s in reading.among(hit.first - 25, hit.first) if scene.kind(s) in ("disease", "landmark")]
        if number is None or number.value not in _STAGES or not near or near[-1].concept in stages:
            continue
        if any(
            c.system == "EAONO/JOS stage" and c.evidence[0].end_ms >= reading.words[hit.first].start_ms for c in found
        ):
            continue
        found.append(
            _named(
                "eaono-stage",
                "EAONO/JOS stage",
                _STAGES[int(number.value)],
                reading.span(hit.first, number.last),
            )
        )
    return tuple(found)


def _named(concept: str | None, system: str, value: str, span: Span) -> Classification:
    return Classification(
        concept=concept,
        system=system,
        value=value,
        source="said by the surgeon",
        evidence=(span,),
        attributes={"said": True},
    )
