"""The stage: put misheard trade words right, and say how sure that is."""

from __future__ import annotations

from functools import lru_cache

from otochron.lexicon import Lexicon
from otochron.lexicon.weights import load_weights, weights_folder
from otochron.model import Record
from otochron.stages.repair.candidates import candidates
from otochron.stages.repair.garbled import garbled, unknown_words, withheld
from otochron.stages.repair.judge import judge
from otochron.stages.repair.write import write_repairs
from otochron.text.ngrams import Ngrams, read_ngrams


@lru_cache(maxsize=1)
def shipped_ngrams() -> Ngrams:
    """Read the shipped model of surgical narration."""
    return read_ngrams(weights_folder() / "ngrams.txt.xz")


def find_repairs(record: Record, lexicon: Lexicon) -> Record:
    """Find misheard terms by sound and by context.

    Parameters
    ----------
    record : Record
        Needs ``lines`` with their languages.
    lexicon : Lexicon
        Entries of every kind that is spoken, but sides and actions; protected words.

    Returns
    -------
    Record
        With ``text`` repaired where the decision is ``applied``, ``repairs`` in spoken order, ``unclear``
        stretches; languages of changed lines and the clauses are emptied, since they must be read again.
    """
    if not record.lines:
        return record
    ngrams, weights = shipped_ngrams(), load_weights("repair")
    context, found = candidates(record, lexicon, ngrams)
    unknown = unknown_words(context, ngrams)
    verdicts = withheld(judge(found, context, weights), unknown)
    record = write_repairs(record, context.stream, verdicts, lexicon, ngrams)
    return record.evolve(unclear=garbled(context, verdicts, unknown))
