"""A note before it is set in type: sections of lines of parts. Renderers know nothing of surgery."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from otochron.model import Lang

_CAPITAL = re.compile(r"^\W*\w")
Form = Literal["list", "numbered", "boxes"]


@dataclass(frozen=True)
class Run:
    """A stretch of text; ``quote`` is the language of what is quoted."""

    text: str
    quote: Lang | None = None


Part = tuple[Run, ...]
"""What one fact adds to a line; it ends with its time."""


@dataclass(frozen=True)
class Line:
    """The parts on one subject.

    ``lead`` names the subject; ``joint`` stands between the parts, that of the language if it is empty.
    """

    lead: str
    parts: tuple[Part, ...]
    joint: str = ""
    end: str = "."

    def sentences(self) -> list[str]:
        """Give each part as text, under its subject."""
        return [f"{self.lead} {text_of(part)}".strip() for part in self.parts]

    def runs(self) -> list[Run]:
        """Give the whole line after its lead as runs."""
        found: list[Run] = []
        for n, part in enumerate(self.parts):
            found += ([Run(self.joint)] if n else []) + list(part)
        if not self.lead and found:
            found[0] = Run(upper(found[0].text), found[0].quote)
        return [*found, Run(self.end)] if self.end else found


@dataclass(frozen=True)
class Section:
    """A heading and its lines."""

    key: str
    title: str
    lines: tuple[Line, ...]
    form: Form = "list"
    remark: str = ""


@dataclass(frozen=True)
class Document:
    """The whole note."""

    lang: Lang
    title: str
    banner: str
    facts: tuple[str, ...]
    sections: tuple[Section, ...]
    signature: str

    def sentences(self) -> list[str]:
        """Give every sentence of every section."""
        return [text for section in self.sections for line in section.lines for text in line.sentences()]


def upper(text: str) -> str:
    """Write the first letter as a capital; the rest stays.

    >>> upper("étrier : bloqué")
    'Étrier : bloqué'
    """
    match = _CAPITAL.match(text)
    return text[: match.end()].upper() + text[match.end() :] if match else text


def text_of(part: Iterable[Run]) -> str:
    """Give the text of runs."""
    return "".join(run.text for run in part)


def plain(text: str) -> Part:
    """Make a part of unquoted text."""
    return (Run(text),)


def one_line(parts: Iterable[Part], lead: str = "", **kept: str) -> Line:
    """Make a line of parts."""
    return Line(lead, tuple(parts), **kept)
