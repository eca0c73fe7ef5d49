"""Read narration scripts: training text (``tests/narrations``) and gold scripts (``tests/scripts``).

The format is told in ``tests/scripts/README.md``. All of it is invented.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

_HEADER = re.compile(r"^#\s*([\w-]+)\s*:\s*(.*)$")
_SWITCH = re.compile(r"\[(en|fr)\]")
_MARK = re.compile(r"(\^?)<([^<>|]*)(?:\|([^<>|]*))?(?:\|([^<>|]*))?>|(\^)(?=[^\s<])|(\S+)")
_REGISTER = re.compile(r"^\{(teaching|request|aside|narration)\}\s*")


@dataclass(frozen=True)
class Mark:
    """A trade word of the script: words ``first`` to ``last`` (half-open) of its statement."""

    first: int
    last: int
    term: str | None
    status: str


@dataclass
class Statement:
    """One line of a script."""

    line: int
    words: list[str]
    languages: list[str]
    register: str
    step: str | None
    step_status: str
    marks: list[Mark] = field(default_factory=list)
    forced: set[int] = field(default_factory=set)
    notes: list[dict[str, Any]] = field(default_factory=list)
    pause_before: float = 0.0
    pause_step: str | None = None

    @property
    def text(self) -> str:
        return " ".join(self.words)


@dataclass
class Script:
    """A whole script."""

    path: Path
    header: dict[str, str]
    statements: list[Statement]

    @property
    def words(self) -> int:
        return sum(len(s.words) for s in self.statements)


def read_script(path: Path) -> Script:
    """Read one script; a line that is none of the format's raises ``ValueError`` with its place."""
    header: dict[str, str] = {}
    statements: list[Statement] = []
    step: str | None = None
    step_status = "done"
    pause = 0.0
    pause_step: str | None = None
    for number, raw in enumerate(path.read_text("utf-8").splitlines(), start=1):
        line = raw.strip()
        if not line:
            continue
        if match := _HEADER.match(line):
            header[match[1]] = match[2].strip()
        elif line.startswith("#"):
            continue
        elif line.startswith("@"):
            name, *status = line[1:].split()
            if name == "step":
                name, *status = status or ["none"]
            name = name.lstrip("@")
            step = None if name == "none" else name
            step_status = status[0] if status else "done"
        elif line.startswith("(pause"):
            pause += float(re.findall(r"[\d.]+", line)[0])
            pause_step = step
        elif line.startswith("!"):
            statements[-1].notes.append(json.loads(line[1:]))
        else:
            statement = _statement(line, number, path)
            statement.step, statement.step_status, statement.pause_before = step, step_status, pause
            statement.pause_step = pause_step if pause else step
            pause = 0.0
            statements.append(statement)
    return Script(path, header, statements)


def _statement(line: str, number: int, path: Path) -> Statement:
    register = "narration"
    if match := _REGISTER.match(line):
        register = match[1]
        line = line[match.end() :]
    if not _SWITCH.match(line):
        raise ValueError(f"{path.name}, line {number}: no [en] or [fr] at the start: {line[:40]!r}")
    statement = Statement(number, [], [], register, None, "done")
    language = "en"
    # A mark may hold a language switch inside its surface; marks are read first, switches inside them kept.
    force_next = False
    for match in re.finditer(_SWITCH.pattern + "|" + _MARK.pattern, line):
        if match[1]:
            language = match[1]
            continue
        caret, surface, term, status, lone_caret, word = match[2], match[3], match[4], match[5], match[6], match[7]
        if lone_caret:
            force_next = True
            continue
        if surface is None:
            assert word is not None
            if force_next:
                statement.forced.add(len(statement.words))
                force_next = False
            statement.words.append(word)
            statement.languages.append(language)
            continue
        first = len(statement.words)
        for piece in re.split(r"(\[(?:en|fr)\])|\s+", surface):
            if piece and (switch := _SWITCH.fullmatch(piece)):
                language = switch[1]
            elif piece:
                statement.words.append(piece.lstrip("^"))
                statement.languages.append(language)
        last = len(statement.words)
        if caret or force_next:
            statement.forced.update(range(first, last))
            force_next = False
        meaning = term if term else " ".join(statement.words[first:last])
        statement.marks.append(Mark(first, last, None if meaning == "null" else meaning, status or "affirmed"))
    return statement


def read_folder(folder: Path) -> list[Script]:
    """Read all scripts of a folder, by name."""
    return [read_script(path) for path in sorted(folder.glob("*.txt"))]
