"""A note as Markdown. What was spoken is text, whatever signs it holds."""

from __future__ import annotations

import re
from itertools import groupby

from otochron.writers.note.document import Document, Line, Section

_SIGNS = re.compile(r"([\\`*_\[\]<>#|~])")


def as_markdown(note: Document) -> str:
    """Give the note as Markdown (CommonMark, with boxes as ``- [ ]``)."""
    parts = [f"# {_text(note.title)}"]
    if note.banner:
        parts.append(f"> **{_text(note.banner)}**")
    parts.append("  \n".join(_text(fact) for fact in note.facts))
    parts += [_section(section) for section in note.sections]
    parts.append(_text(note.signature))
    return "\n\n".join(parts) + "\n"


def _section(section: Section) -> str:
    parts = [f"## {_text(section.title)}"]
    if section.remark:
        parts.append(f"*{_text(section.remark)}*")
    marks = {"list": "- ", "boxes": "- [ ] "}
    lines = [(marks.get(section.form) or f"{n}. ") + _line(line) for n, line in enumerate(section.lines, start=1)]
    if lines:
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


def _line(line: Line) -> str:
    lead = f"**{_text(line.lead)}** " if line.lead else ""
    # Markdown cannot say in which language a quotation is: it is one, however often its language changes.
    parts = groupby(line.runs(), key=lambda run: run.quote is not None)
    return lead + "".join(_part("".join(run.text for run in runs), quoted) for quoted, runs in parts)


def _part(text: str, quoted: bool) -> str:
    inner = text.strip()
    if not quoted or not inner:
        return _text(text)
    # Spaces stay outside the marks of emphasis, else they are no marks.
    left, right = text.split(inner, 1)
    return f"{left}*{_text(inner)}*{right}"


def _text(text: str) -> str:
    return _SIGNS.sub(r"\\\1", text.replace("\n", " "))
