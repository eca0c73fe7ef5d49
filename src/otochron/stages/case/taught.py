"""What is told of this very operation: to viewers, and across a cut. Words: ``lexicons/cues/acts.toml``."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.lexicon.reading import Piece, Reading, Spot
from otochron.model import Record, Status

_RULES = ("habit", "habit-adverb", "condition", "would", "viewer", "caution")
_THINGS = frozenset({"implant", "graft", "procedure", "packing"})
_WANTED = frozenset({"anaesthesia", "procedure", "implant", "drug"})
_PLACES = frozenset({"structure", "landmark"})
_REACH = 4
_LATER = ("planned-now", "planned-later", "time-lead")


def told_of_this(record: Record, lexicon: Lexicon) -> Record:
    """Give the record with what is told to viewers without a word of rule as told of this operation.

    Notes
    -----
    To whom a clause is spoken is guessed from its words; that alone makes no statement general. Where a clause
    holds no word of habit, of condition or of address, its mentions and sizes are of this operation: to be
    done where a word tells so, else affirmed. A thing that a cut parts from its denied verb is denied. Only the
    case reads them so; the record keeps the status.
    """
    reading = Reading(record, lexicon)
    given: dict[int, Status | None] = {}

    def status(place: int) -> Status | None:
        n = reading.piece_number(place)
        if n < 0:
            return None
        if n not in given:
            given[n] = _status(reading, reading.pieces[n])
        return given[n]

    changed: dict[str, Status] = {}
    for spot in reading.spots:
        told = spot.mention.status == "general" and spot.mention.kind != "action"
        if told and (now := status(spot.first)):
            changed[spot.mention.id] = now
        elif _is_cut_off(reading, spot) or _is_refused(reading, spot):
            changed[spot.mention.id] = "negated"
    sizes = {}
    for size in reading.sizes:
        if size.measurement.status == "general" and (now := status(size.first)):
            sizes[size.measurement.id] = now
    if not changed and not sizes:
        return record
    return record.evolve(
        mentions=tuple(m.evolve(status=changed[m.id]) if m.id in changed else m for m in record.mentions),
        measurements=tuple(m.evolve(status=sizes[m.id]) if m.id in sizes else m for m in record.measurements),
    )


def _is_of_any(reading: Reading, piece: Piece) -> bool:
    """Tell whether a clause speaks of any such thing, not of this one: "in a drum which has a hole"."""
    places = [s for s in reading.among(piece.first, piece.last) if s.mention.kind in _PLACES]
    return any(reading.has(s.first - 1, s.first, "article") for s in places)


def _is_cut_off(reading: Reading, spot: Spot) -> bool:
    """Tell whether a clause was cut between a denied verb and its thing: "je ne mets pas | la prothèse"."""
    if spot.mention.status != "affirmed" or spot.mention.kind not in _THINGS:
        return False
    here = reading.piece_number(spot.first)
    cues = reading.cues(max(0, spot.first - _REACH), spot.first, "negation-verb")
    for hit in cues:
        there = reading.piece_number(hit.first)
        # Right after the denial, or one verb after it; "so titanium doesn't touch the drum | the cartilage" is whole.
        if there not in (here, -1) and reading.pieces[there].last - hit.last <= 1:
            return True
    return False


def _is_refused(reading: Reading, spot: Spot) -> bool:
    """Tell whether the patient did not want it: "il a refusé l'anesthésie générale"."""
    if spot.mention.kind not in _WANTED or spot.mention.status != "affirmed":
        return False
    return any(hit.last >= spot.first - 1 for hit in reading.cues(max(0, spot.first - _REACH), spot.first, "refused"))


def _status(reading: Reading, piece: Piece) -> Status | None:
    if reading.has(piece.first, piece.last, *_RULES) or _is_of_any(reading, piece):
        return None
    return "planned" if reading.has(piece.first, piece.last, *_LATER) else "affirmed"
