"""What a teaching video should have and the recording lacks. The list is data: ``lexicons/rules/video-items.toml``."""

from __future__ import annotations

from otochron.lexicon import Entry, Lexicon
from otochron.model import Lang, Record
from otochron.writers.language import GRAMMARS


def lacking(record: Record, lexicon: Lexicon, lang: Lang, *, stages: int) -> list[str]:
    """List the items that the record does not hold, in the order of the word list.

    Parameters
    ----------
    record : Record
        Complete.
    lexicon : Lexicon
        Entries of role ``video-item``; ``values.of`` names where the record would hold the item.
    lang : {"en", "fr"}
        Language of the list.
    stages : int
        How many chapters were made.
    """
    items = [entry for entry in lexicon.of_kind("rule") if entry.role == "video-item"]
    tidy = GRAMMARS[lang].tidy
    return [tidy(entry.tongue(lang).text or entry.id) for entry in items if not _held(record, entry, stages)]


def _held(record: Record, entry: Entry, stages: int) -> bool:
    of = str(entry.values.get("of", ""))
    if of == "stages":
        return stages >= int(str(entry.values.get("least", 2)))
    if of == "mentions":
        spoken = {m.concept for m in record.mentions if m.status not in ("negated", "retracted", "hypothetical")}
        return any(concept in spoken for concept in entry.of)
    if of == "no-check":
        return not any(check.code == entry.values.get("code") for check in record.checks)
    if of == "side":
        return record.case.side.value is not None
    return any(
        getattr(item, "status", "affirmed") not in ("retracted", "hypothetical")
        for item in getattr(record.case, of, ())
    )
