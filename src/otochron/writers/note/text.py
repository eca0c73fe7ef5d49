"""A note as plain text, 80 columns."""

from __future__ import annotations

import textwrap

from otochron.writers.note.document import Document, Line, Section, text_of

_WIDTH = 80
_MARKS = {"list": "- ", "boxes": "[ ] "}


def as_text(note: Document) -> str:
    """Give the note as plain text that any program can show."""
    parts = [_wrapped(note.title.upper()), "=" * min(_WIDTH, len(note.title))]
    if note.banner:
        parts += ["", _wrapped(f"*** {note.banner} ***")]
    parts += ["", *(_wrapped(fact) for fact in note.facts)]
    for section in note.sections:
        parts += ["", section.title.upper(), "-" * len(section.title), *_section(section)]
    parts += ["", *(_wrapped(line) for line in note.signature.split("\n"))]
    return "\n".join(parts) + "\n"


def _section(section: Section) -> list[str]:
    remark = [_wrapped(section.remark)] if section.remark else []
    marked = [(_MARKS.get(section.form) or f"{n:>2}. ", line) for n, line in enumerate(section.lines, start=1)]
    return [*remark, *(_wrapped(_line(line), mark) for mark, line in marked)]


def _line(line: Line) -> str:
    return f"{line.lead} {text_of(line.runs())}".strip()


def _wrapped(text: str, mark: str = "") -> str:
    # textwrap would break at no-break spaces too: they are hidden from it.
    hidden = text.replace("\u00a0", "\x1f")
    indent = " " * len(mark)
    lines = textwrap.wrap(hidden, _WIDTH, initial_indent=mark, subsequent_indent=indent, break_on_hyphens=False)
    return "\n".join(lines).replace("\x1f", "\u00a0")
