"""Say of each mention and measurement whether it is there, denied, doubted, supposed, planned, a rule, past.

The manner is NegEx (Chapman et al. 2001) and ConText (Harkema et al. 2009): a cue, its direction, and the
stretch it covers. Words: ``lexicons/cues/status-*.toml``.
"""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.stages.status.decide import statuses
from otochron.stages.status.reach import Target
from otochron.text.stream import Places, words

__all__ = ["read_status", "statuses"]


def read_status(record: Record, lexicon: Lexicon) -> Record:
    """Set the status of every mention and measurement.

    Parameters
    ----------
    record : Record
        Needs ``lines`` with languages, ``clauses``, ``mentions`` and ``measurements``.
    lexicon : Lexicon
        For its cues.

    Returns
    -------
    Record
        With the statuses set. A measurement that was taken back already stays so.
    """
    stream = words(record)
    places = Places(stream, record.lines)
    clauses = [(places.first(c.span), places.last(c.span)) for c in record.clauses]
    taught = [c.register_ == "teaching" for c in record.clauses]
    targets: list[Target] = [(places.first(m), places.last(m), m.kind) for m in record.mentions]
    targets += [(places.first(m), places.last(m), "measurement") for m in record.measurements]
    found = statuses(stream, clauses, targets, lexicon, taught)
    mentions = tuple(
        m if m.status == status else m.evolve(status=status)
        for m, status in zip(record.mentions, found[: len(record.mentions)], strict=True)
    )
    measurements = tuple(
        m if m.status in (status, "retracted") else m.evolve(status=status)
        for m, status in zip(record.measurements, found[len(record.mentions) :], strict=True)
    )
    return record.evolve(mentions=mentions, measurements=measurements)
