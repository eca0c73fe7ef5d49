"""Say what bare nouns, pronouns and descriptions stand for. Words: ``lexicons/cues/references.toml``.

"The tendon", "l'anneau", "la tête": a form that several entries claim. "It", "elle", "this one": a word for what
is being spoken of. "The body", "le corps": a part whose whole is being spoken of. Words are never changed.
"""

from __future__ import annotations

from typing import Any

from otochron.lexicon import Hit, Lexicon
from otochron.lexicon.reading import Reading, Spot
from otochron.lexicon.rules import closure, fits, members, of_finding
from otochron.model import Mention, Record
from otochron.text.stream import span_of

_THINGS = frozenset({"structure", "landmark", "implant", "graft", "disease", "instrument", "packing"})
_PLACES = frozenset({"structure", "landmark", "implant", "graft", "finding"})
_BEFORE, _AFTER = 60, 30
_HALF = 12.0
"""After so many words a thing spoken of counts half."""
_OTHER = 0.6
"""For a finding, a thing of another statement counts less."""
_CLEAR = 1.15
"""How much better the best claim must be than the next."""
_PRONOUN_REACH = 26
_PRONOUN_BREAKS = 7
_WIDE = 12
"""A whole with more parts than this tells nothing about which of them is meant."""


def link_references(record: Record, lexicon: Lexicon) -> Record:
    """Resolve what is not named in full.

    Parameters
    ----------
    record : Record
        Needs ``lines``, ``clauses`` and ``mentions`` with status.
    lexicon : Lexicon
        All entries; cues of the roles ``pronoun`` and ``part-noun``.

    Returns
    -------
    Record
        A form that several entries claim goes to the one that is spoken of nearby; a pronoun or a bare part
        becomes a mention of kind ``reference`` with ``refers_to``. What stays open stays null.
    """
    reading = Reading(record, lexicon)
    chosen = _Chosen(reading)
    found = [*chosen.mentions(), *_references(reading, chosen)]
    order = {line.id: n for n, line in enumerate(record.lines)}
    return record.evolve(mentions=tuple(sorted(found, key=lambda m: (order[m.line], m.start, m.id))))


class _Chosen:
    """The concept of every mention after the claims of ambiguous forms are weighed."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.lexicon = reading.lexicon
        self._claimed: dict[tuple[tuple[str, str, str], ...], tuple[str, ...]] = {}
        self.claims = {s.mention.id: claims for s in reading.spots if len(claims := self._claims(s)) > 1}
        self.spoken: dict[str, int] = {}
        self.concept: dict[str, str | None] = {}
        for spot in reading.spots:
            if spot.mention.id not in self.claims:
                self.concept[spot.mention.id] = spot.mention.concept
                name = spot.mention.concept or ""
                self.spoken[name] = self.spoken.get(name, 0) + 1
        for spot in reading.spots:
            if spot.mention.id in self.claims:
                self.concept[spot.mention.id] = self._choose(spot)

    def _claims(self, spot: Spot) -> tuple[str, ...]:
        if spot.mention.kind == "side":
            return ()
        said = self.reading.words[spot.first : spot.last]
        place = tuple([(word.text, word.language, word.mark) for word in said])
        if place not in self._claimed:
            hits = self.lexicon.finder.find(said)
            whole = len(hits) == 1 and (hits[0].first, hits[0].last) == (0, len(said))
            self._claimed[place] = hits[0].concepts if whole else ()
        return self._claimed[place]

    def _choose(self, spot: Spot) -> str | None:
        """Choose the claim that is spoken of most nearby, itself or its neighbours; for a finding, that fits."""
        claims = [c for c in self.claims[spot.mention.id] if self.lexicon[c].kind != "action"]
        if len(claims) < 2:
            return claims[0] if claims else spot.mention.concept
        scores = dict.fromkeys(claims, 0.0)
        findings = all(self.lexicon[c].kind == "finding" for c in claims)
        for other in self.reading.among(max(0, spot.first - _BEFORE), spot.last + _AFTER):
            concept = self.concept.get(other.mention.id)
            if concept is None or other.first == spot.first:
                continue
            weight = 0.5 ** (abs(other.first - spot.first) / _HALF)
            if findings:
                weight *= _OTHER ** min(3, self.reading.breaks(spot.first, other.first))
            for claim in claims:
                scores[claim] += weight * self._closeness(concept, claim)
        for claim in claims:
            scores[claim] += 0.05 * min(self.spoken.get(claim, 0), 6)
        ranked = sorted(scores, key=lambda c: (-scores[c], c))
        if scores[ranked[0]] <= 0 or scores[ranked[0]] < _CLEAR * scores[ranked[1]]:
            return spot.mention.concept
        return ranked[0]

    def _closeness(self, concept: str, claim: str) -> float:
        """Tell how much a thing spoken of speaks for a claim."""
        if concept == claim:
            return 3.0
        rules = list(of_finding(self.lexicon, "fits", claim))
        if any(fits(self.lexicon, rule, concept) for rule in rules):
            return 2.0
        if self.lexicon.related(concept, claim):
            return 1.0
        one, two = self.lexicon.get(concept), self.lexicon.get(claim)
        shared = set(one.part_of if one else ()) & set(two.part_of if two else ())
        return 0.7 if any(self._parts(whole) <= _WIDE for whole in sorted(shared)) else 0.0

    def _parts(self, whole: str) -> int:
        return sum(whole in entry.part_of for entry in self.lexicon.entries.values())

    def mentions(self) -> list[Mention]:
        """Give the mentions with what was chosen."""
        found: list[Mention] = []
        for mention in self.reading.record.mentions:
            concept = self.concept.get(mention.id, mention.concept)
            if concept == mention.concept:
                found.append(mention)
            elif mention.concept is None:
                found.append(mention.evolve(refers_to=concept, kind=self.lexicon[concept or ""].kind))
            else:
                found.append(mention.evolve(concept=concept, kind=self.lexicon[concept or ""].kind))
        return found


def _references(reading: Reading, chosen: _Chosen) -> list[Mention]:
    """Make a mention of each pronoun and bare part that stands for a thing spoken of."""
    covered = {n for s in reading.spots if s.mention.kind != "action" for n in range(s.first, s.last)}
    verbs = {s.first for s in reading.spots if s.mention.kind == "action"}
    found: list[Mention] = []
    topics: list[tuple[int, str, str]] = []  # word, concept, status of what may be meant, as it is spoken
    spots = list(reading.spots)
    unfit = members(reading.lexicon, "no-structure")
    place = 0
    for hit in reading.hits("pronoun", "object-pronoun", "part-noun"):
        while place < len(spots) and spots[place].first < hit.first:
            _note(reading, chosen, spots[place], topics, unfit)
            place += 1
        if any(n in covered for n in range(hit.first, hit.last)):
            continue
        entry = reading.lexicon[hit.concepts[0]]
        if entry.role == "object-pronoun" and not _before_verb(reading, hit, verbs):
            continue
        if entry.role == "part-noun":
            concept = _part(hit, topics, entry.values)
            status = topics[-1][2] if topics else "affirmed"
        else:
            concept, status = _antecedent(reading, hit, topics, entry.values.get("gender"))
        if concept is None:
            continue
        topics.append((hit.first, concept, status))
        found.append(_mention(reading, hit, concept))
    return found


def _before_verb(reading: Reading, hit: Hit, verbs: set[int]) -> bool:
    """Tell whether "le", "la", "l'" stands before a verb of the trade, over "ai", "a", "dois"."""
    place = hit.last
    if place in verbs:
        return True
    return place + 1 in verbs and reading.has(place, place + 1, "existence", "finite")


def _note(
    reading: Reading, chosen: _Chosen, spot: Spot, topics: list[tuple[int, str, str]], unfit: frozenset[str]
) -> None:
    """Note a thing that is spoken of; a thing after a preposition is only where something is."""
    concept = chosen.concept.get(spot.mention.id)
    entry = reading.lexicon.get(concept)
    if concept is None or entry is None or concept in unfit:
        return
    if entry.kind not in _THINGS and concept not in members(reading.lexicon, "topic"):
        return
    if spot.mention.status in ("past", "retracted", "hypothetical"):
        return
    turned = any(hit.last >= spot.first - 2 for hit in reading.cues(max(0, spot.first - 6), spot.first, "turns-to"))
    role = "place" if reading.after_preposition(spot.first) and not turned else "topic"
    topics.append((spot.first, concept, role))


def _antecedent(reading: Reading, hit: Hit, topics: list[tuple[int, str, str]], gender: Any) -> tuple[str | None, str]:
    """Give the thing spoken of last, whose gender agrees where the language has one."""
    best: str | None = None
    skipped: list[str] = []
    for first, concept, role in reversed(topics[-8:]):
        if hit.first - first > _PRONOUN_REACH or reading.breaks(first, hit.first) > _PRONOUN_BREAKS:
            break
        entry = reading.lexicon[concept]
        if gender and reading.words[first].language == "fr" and entry.fr.gender and entry.fr.gender[0] != gender:
            skipped += [concept] if role == "topic" else []
            continue
        # A part named since, of the other gender ("la deuxième portion"), is what is meant.
        meant = next((part for part in skipped if concept in closure(reading.lexicon, part)), concept)
        if role == "topic":
            return meant, "topic"
        best = best or meant
    return best, "place"


def _part(hit: Hit, topics: list[tuple[int, str, str]], parts: dict[str, Any]) -> str | None:
    """Give the part of the whole that is spoken of."""
    for first, concept, _ in reversed(topics[-8:]):
        if hit.first - first > 2 * _PRONOUN_REACH:
            break
        part = parts.get(concept)
        if isinstance(part, str):
            return part
    return None


def _mention(reading: Reading, hit: Hit, concept: str) -> Mention:
    span = span_of(reading.words, hit.first, hit.last)
    return Mention(
        **dict(span),
        id=f"reference-{span.line}-{span.start}",
        surface=reading.text(hit.first, hit.last),
        concept=None,
        kind="reference",
        language=reading.words[hit.first].language,
        refers_to=concept,
    )
