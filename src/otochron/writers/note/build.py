"""Put the sections of a note together. Wording: ``lexicons/rules/wording*.toml``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from otochron.lexicon import Lexicon
from otochron.model import Lang, Record
from otochron.writers.note import ends, facts, findings, implants, plans, sizes, steps
from otochron.writers.note.document import Document, Form, Line, Section, upper
from otochron.writers.note.teller import Teller
from otochron.writers.wording import clock, is_draft

_SECTIONS: tuple[tuple[str, Callable[[Teller], Sequence[Line]], Form], ...] = (
    ("operation", facts.tell_operation, "list"),
    ("why", facts.tell_grounds, "list"),
    ("anaesthesia", facts.tell_anaesthesia, "list"),
    ("findings", findings.tell_findings, "list"),
    ("course", steps.tell_done, "numbered"),
    ("not-done", steps.tell_not_done, "list"),
    ("implants", implants.tell_implants, "list"),
    ("tissue", facts.tell_tissue, "list"),
    ("incidents", facts.tell_incidents, "list"),
    ("closure", facts.tell_closure, "list"),
    ("sizes", sizes.tell_sizes, "list"),
    ("afterwards", plans.tell_plans, "list"),
    ("words", facts.tell_cautions, "list"),
    ("surgeon", ends.tell_corrections, "list"),
    ("to-check", ends.tell_checks, "boxes"),
    ("to-complete", ends.tell_missing, "boxes"),
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
            remarks = [] if lines else [teller.say("nothing-said")]
            remarks += [teller.say(f"remark-{key}")] if key in _REMARKED else []
            lines = tuple(replace(line, joint=line.joint or teller.say("joint") + " ") for line in lines)
            sections.append(Section(key, teller.say(f"section-{key}"), lines, form, " ".join(remarks)))
    return Document(
        lang=lang,
        title=_title(teller),
        banner=teller.say("draft") if is_draft(record) else "",
        facts=_head(teller),
        sections=tuple(sections),
        signature=teller.say("signature"),
    )


def _title(teller: Teller) -> str:
    case = teller.record.case
    done = [i.concept for i in case.procedures if i.status == "affirmed" and i.echo_of is None]
    names = [teller.words.name(concept) for concept in dict.fromkeys(done)]
    side = [teller.words.say(f"ear-{case.side.value}")] if case.side.value else []
    what = ", ".join([*([teller.grammar.listed(names)] if names else []), *side])
    return teller.say("title", what=what) if what else teller.say("title-alone")


def _head(teller: Teller) -> tuple[str, ...]:
    record = teller.record
    date = record.made_by.options.get("date")
    day = teller.words.day(str(date)) if date else teller.say("to-fill")
    shares = record.languages
    percent = {"en": str(round(100 * shares.en)), "fr": str(round(100 * shares.fr))}
    return (
        teller.say("head-date", day=day),
        upper(teller.say("head-recording", name=record.recording.name, length=clock(record.recording.duration_ms))),
        teller.say("head-languages", **percent),
        teller.say("head-times"),
    )
