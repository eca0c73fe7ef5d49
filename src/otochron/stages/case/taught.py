"""What is told of this very operation: to viewers, and across a cut. Words: ``lexicons/cues/acts.toml``."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.lexicon.reading import Piece, Reading, Spot
from otochron.model import Record, Status

_RULES = ("habit", "habit-adverb", "condition", "would", "viewer", "caution")
_THINGS = frozenset({"implant", "graft", "procedure", "packing"})
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
        elif _is_cut_off(reading, spot):
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


def _is_cut_off(reading: Reading, spot: Spot) -> bool:
    """Tell whether a clause was cut between a denied verb and its thing: "je ne mets pas | la prothèse"."""
    if spot.mention.status != "affirmed" or spot.mention.kind not in _THINGS:
        return False
    here = reading.piece_number(spot.first)
    cues = reading.cues(max(0, spot.first - _REACH), spot.first, "negation-verb")
    return any(reading.piece_number(hit.first) != here for hit in cues)


def _status(reading: Reading, piece: Piece) -> Status | None:
    if reading.has(piece.first, piece.last, *_RULES):
        return None
    return "planned" if reading.has(piece.first, piece.last, *_LATER) else "affirmed"
