"""A note before it is set in type: sections of lines of runs. Renderers know nothing of surgery."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from otochron.model import Lang


@dataclass(frozen=True)
class Run:
    """A stretch of text; ``quote`` is the language of what is quoted, ``strong`` a lead-in."""

    text: str
    quote: Lang | None = None
    strong: bool = False


@dataclass(frozen=True)
class Line:
    """One or more sentences on one subject; ``parts`` are what a fact adds, each ending with its time."""

    lead: str
    parts: tuple[tuple[Run, ...], ...]

    def sentences(self) -> list[str]:
        """Give each part as text, with the subject it stands under."""
        return [f"{self.lead} {''.join(run.text for run in part)}".strip() for part in self.parts]


@dataclass(frozen=True)
class Section:
    """A heading and its lines."""

    key: str
    title: str
    lines: tuple[Line, ...]
    form: Literal["list", "numbered", "boxes"] = "list"
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


def plain(*texts: str) -> tuple[Run, ...]:
    """Make the runs of unquoted text."""
    return tuple(Run(text) for text in texts if text)


def one_line(parts: Iterable[tuple[Run, ...]], lead: str = "") -> Line:
    """Make a line of parts."""
    return Line(lead, tuple(parts))
