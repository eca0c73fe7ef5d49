"""What an operative note must hold and nobody said: filled in by a person, never guessed."""

from __future__ import annotations

from otochron.lexicon import Entry, Lexicon
from otochron.model import Bilingual, Missing, Record

_PREFIX = "note-"
_CERTAIN = frozenset({"affirmed", "negated", "planned"})


def find(record: Record, lexicon: Lexicon) -> tuple[Missing, ...]:
    """List the items of a note that the record does not hold, in the order of the word list."""
    found: list[Missing] = []
    for entry in lexicon.of_kind("rule"):
        if entry.role != "note-item":
            continue
        when = str(entry.values.get("when", ""))
        if when and not _asked(record, when):
            continue
        if not _held(record, str(entry.values.get("of", "")), lexicon):
            found.append(_missing(entry))
    return tuple(found)


def _missing(entry: Entry) -> Missing:
    message = Bilingual(en=entry.en.text or entry.id, fr=entry.fr.text or entry.id)
    return Missing(item=entry.id.removeprefix(_PREFIX), message=message, source=entry.source)


def _asked(record: Record, when: str) -> bool:
    if when == "implants":
        return any(item.status == "affirmed" for item in record.case.implants)
    # The middle ear counts as opened where something was found or done on an ossicle.
    return bool(record.case.findings or record.case.implants)


def _held(record: Record, of: str, lexicon: Lexicon) -> bool:
    case = record.case
    if of.startswith("option:"):
        return bool(record.made_by.options.get(of.removeprefix("option:")))
    if of.startswith("finding-of:"):
        wanted = set(of.removeprefix("finding-of:").split())
        return any(f.structure in wanted or wanted & set(_wholes(f.structure, lexicon)) for f in case.findings)
    if of == "side":
        return case.side.value is not None
    if of == "implant-size":
        return all(item.length or item.diameter for item in case.implants if item.status == "affirmed")
    if of in {"antibiotic", "thrombosis", "blood-loss"}:
        spoken = {m.concept for m in record.mentions if m.concept} | {m.of for m in record.measurements if m.of}
        return any(of in concept or _is_a(concept, of, lexicon) for concept in spoken)
    return bool(of) and any(
        getattr(item, "status", "affirmed") in _CERTAIN | {"present", "absent"} for item in getattr(case, of)
    )


def _wholes(concept: str | None, lexicon: Lexicon) -> tuple[str, ...]:
    entry = lexicon.get(concept)
    return entry.part_of if entry else ()


def _is_a(concept: str, kind: str, lexicon: Lexicon) -> bool:
    entry = lexicon.get(concept)
    return bool(entry) and any(kind in broad for broad in entry.broader) if entry else False
