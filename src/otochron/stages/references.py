"""Say what bare nouns, pronouns and descriptions stand for. Words: ``lexicons/cues/references.toml``.

"The tendon", "l'anneau", "the hole": a form that several entries claim and that nothing nearby decided; "it",
"this one", "là": a word for what was just named. Each gets ``refers_to``, or stays null. Words are never changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from otochron.lexicon import Lexicon
from otochron.lexicon.reading import Reading, Spot
from otochron.model import Mention, Record
from otochron.text.stream import span_of

_THINGS = frozenset(
    {"structure", "landmark", "implant", "graft", "finding", "disease", "instrument", "material"}
)
_REACH = 60
_PRONOUN_REACH = 14
_HALF = 12.0
"""After so many words a thing spoken of counts half."""


def link_references(record: Record, lexicon: Lexicon) -> Record:
    """Resolve what is not named in full.

    Parameters
    ----------
    record : Record
        Needs ``lines``, ``clauses`` and ``mentions`` with status.
    lexicon : Lexicon
        All entries; cues of the role ``pronoun``.

    Returns
    -------
    Record
        ``mentions`` without a concept gain ``refers_to`` where context decides; each pronoun that stands for a
        thing named a moment before becomes a mention of kind ``reference``. What stays open stays null.
    """
    reading = Reading(record, lexicon)
    resolved: dict[str, str] = {}
    for spot in reading.spots:
        if spot.mention.concept is None:
            found = _choose(reading, spot, resolved)
            if found:
                resolved[spot.mention.id] = found
    mentions = [m.evolve(refers_to=resolved[m.id]) if m.id in resolved else m for m in record.mentions]
    mentions += _pronouns(reading, resolved)
    order = {line.id: n for n, line in enumerate(record.lines)}
    return record.evolve(mentions=tuple(sorted(mentions, key=lambda m: (order[m.line], m.start, m.id))))


def _choose(reading: Reading, spot: Spot, resolved: dict[str, str]) -> str | None:
    """Choose among the claims of one form: what is most spoken of nearby, itself or its neighbours."""
    claims = _claims(reading, spot)
    if not claims:
        return None
    scores = dict.fromkeys(claims, 0.0)
    for other in reading.among(max(0, spot.first - _REACH), spot.last + _REACH // 2):
        concept = other.mention.concept or resolved.get(other.mention.id)
        if concept is None or other.first == spot.first:
            continue
        weight = 0.5 ** (abs(other.first - spot.first) / _HALF)
        for claim in claims:
            if concept == claim:
                scores[claim] += 3 * weight
            elif reading.lexicon.related(concept, claim):
                scores[claim] += weight
    for claim in claims:
        spoken = sum(1 for s in reading.spots if s.mention.concept == claim)
        scores[claim] += 0.05 * min(spoken, 6)
    ranked = sorted(scores, key=lambda c: (-scores[c], c))
    if scores[ranked[0]] <= 0:
        return None
    if len(ranked) > 1 and scores[ranked[0]] < 1.15 * scores[ranked[1]]:
        return None
    return ranked[0]


def _claims(reading: Reading, spot: Spot) -> tuple[str, ...]:
    hits = reading.lexicon.finder.find(reading.words[spot.first : spot.last])
    return hits[0].concepts if len(hits) == 1 else ()


def _pronouns(reading: Reading, resolved: dict[str, str]) -> list[Mention]:
    """Make a mention of each pronoun that stands for a thing named shortly before."""
    found: list[Mention] = []
    covered = {n for s in reading.spots for n in range(s.first, s.last)}
    for hit in reading.hits("pronoun"):
        if any(n in covered for n in range(hit.first, hit.last)):
            continue
        thing = _antecedent(
            reading, hit.first, resolved, reading.lexicon[hit.concepts[0]].values.get("gender")
        )
        if thing is None:
            continue
        span = span_of(reading.words, hit.first, hit.last)
        concept = thing.mention.concept or resolved.get(thing.mention.id)
        found.append(
            Mention(
                **dict(span),
                id=f"reference-{span.line}-{span.start}",
                surface=reading.text(hit.first, hit.last),
                concept=None,
                kind="reference",
                language=reading.words[hit.first].language,
                status=thing.mention.status,
                refers_to=concept,
            )
        )
    return found


def _antecedent(reading: Reading, place: int, resolved: dict[str, str], gender: Any) -> Spot | None:
    """Give the thing named last before a pronoun whose gender agrees where the language has one."""
    before: Sequence[Spot] = reading.among(max(0, place - _PRONOUN_REACH), place)
    for spot in reversed(before):
        concept = spot.mention.concept or resolved.get(spot.mention.id)
        entry = reading.lexicon.get(concept)
        if entry is None or entry.kind not in _THINGS or spot.last > place:
            continue
        if reading.breaks(spot.last - 1, place) > 3:
            return None
        if gender and spot.mention.language == "fr" and entry.fr.gender and entry.fr.gender[0] != gender:
            continue
        return spot
    return None
