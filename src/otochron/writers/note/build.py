"""Put the sections of a note together. Wording: ``lexicons/rules/wording*.toml``."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from otochron.lexicon import Lexicon
from otochron.model import Lang, Record
from otochron.writers.note import ends, facts, implants, sizes, steps
from otochron.writers.note.document import Document, Line, Section
from otochron.writers.note.teller import Teller, upper
from otochron.writers.wording import clock, is_draft

_SECTIONS: tuple[tuple[str, Callable[[Teller], Sequence[Line]], str], ...] = (
    ("operation", facts.operation, "list"),
    ("why", facts.grounds, "list"),
    ("anaesthesia", facts.anaesthesia, "list"),
    ("findings", facts.findings, "list"),
    ("course", steps.done, "numbered"),
    ("not-done", steps.not_done, "list"),
    ("implants", implants.implants, "list"),
    ("tissue", facts.tissue, "list"),
    ("incidents", facts.incidents, "list"),
    ("closure", facts.closure, "list"),
    ("sizes", sizes.sizes, "list"),
    ("afterwards", facts.afterwards, "list"),
    ("words", facts.cautions, "list"),
    ("surgeon", ends.word_of_surgeon, "list"),
    ("to-check", ends.to_check, "boxes"),
    ("to-complete", ends.to_complete, "boxes"),
)
_REMARKED = frozenset({"findings", "not-done", "to-check", "to-complete", "words"})
_ALWAYS = frozenset({"findings", "course", "incidents"})
"""Sections that stand even when empty, and say that nothing was said."""


def build_note(record: Record, lexicon: Lexicon, lang: Lang) -> Document:
    """Give the note of a record in a language, before it is set in type."""
    teller = Teller(record, lexicon, lang)
    sections: list[Section] = []
    for key, tell, form in _SECTIONS:
        lines = tuple(tell(teller))
        if lines or key in _ALWAYS:
            remark = teller.say(f"remark-{key}") if key in _REMARKED and (lines or key in _ALWAYS) else ""
            empty = "" if lines else teller.say("nothing-said")
            text = " ".join(part for part in (empty, remark) if part)
            sections.append(Section(key, teller.say(f"section-{key}"), lines, form, text))  # type: ignore[arg-type]
    return Document(
        lang=lang,
        title=_title(teller),
        banner=teller.say("draft") if is_draft(record) else "",
        facts=_head(teller),
        sections=tuple(sections),
        signature=teller.say("signature"),
    )


def _title(teller: Teller) -> str:
    done = [i.concept for i in teller.record.case.procedures if i.status == "affirmed" and i.echo_of is None]
    names = [teller.name(concept) for concept in dict.fromkeys(done)]
    side = teller.record.case.side.value
    parts = [upper(teller.words.grammar.listed(names)) if names else "", teller.say(f"ear-{side}") if side else ""]
    what = ", ".join(part for part in parts if part)
    return teller.words.grammar.tidy(teller.words.say("title", what=what)) if what else teller.say("title-alone")


def _head(teller: Teller) -> tuple[str, ...]:
    record = teller.record
    date = record.made_by.options.get("date")
    day = teller.words.day(str(date)) if date else teller.say("to-fill")
    shares = record.languages
    return (
        teller.say("head-date", day=day),
        teller.say("head-recording", name=record.recording.name or "?", length=clock(record.recording.duration_ms)),
        teller.say("head-languages", en=f"{shares.en:.0%}".rstrip("%"), fr=f"{shares.fr:.0%}".rstrip("%")),
        teller.say("head-times"),
    )
