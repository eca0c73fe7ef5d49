"""The elements of a TTML document as they open and close: times and languages go from parent to child."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from otochron.errors import ReadError
from otochron.model import Lang
from otochron.readers.pieces import Piece, Timed, language_of
from otochron.readers.ttml_time import Rates, read_rates, read_time

_XML = "http://www.w3.org/XML/1998/namespace "
_TTML = "http://www.w3.org/ns/ttml"
_OLDER = ("http://www.w3.org/2006/10/ttaf1", "http://www.w3.org/2006/04/ttaf1", "")
_CONTENT = frozenset(f"{space} {name}".strip() for space in (_TTML, *_OLDER) for name in ("body", "div", "p", "span"))
_BREAKS = frozenset(f"{space} br".strip() for space in (_TTML, *_OLDER))
_ROOTS = frozenset(f"{space} tt".strip() for space in (_TTML, *_OLDER))

Tongue = tuple[int, int, Lang, bool]
"""Start, end, language, and whether only the root of the document says so."""


@dataclass(slots=True)
class Frame:
    """One open element: its interval in seconds, and what its children inherit."""

    name: str
    begin: float = 0.0
    end: float | None = None
    lang: str = ""
    lang_of_root: bool = True
    agent: str = ""
    timed: bool = False
    """It or an element around it has times."""
    own: bool = False
    """It has times itself."""
    sequence: bool = False
    cursor: float = 0.0
    """Where the next child of a sequence begins."""
    place: int = 0
    """Where it begins in the text of its line."""


@dataclass(slots=True)
class Tree:
    """Handlers for an XML parser; ``where`` names the place in the file."""

    where: Callable[[], str]
    pieces: list[tuple[Piece, list[Tongue]]] = field(default_factory=list)
    untimed: int = 0
    duration_ms: int = 0
    _frames: list[Frame] = field(default_factory=list)
    _skipped: int = 0
    _rates: Rates = field(default_factory=Rates)
    _agent: str = ""
    _agents: dict[str, str] = field(default_factory=dict)
    _marks_languages: bool = False
    _text: list[str] = field(default_factory=list)
    _length: int = 0
    _tongues: list[Tongue] = field(default_factory=list)
    _words: list[Timed] = field(default_factory=list)

    def finished(self) -> list[Piece]:
        """Give the pieces with their languages.

        A language on the root alone is often a default that a tool wrote, and code-switched speech belies
        it: it counts only in documents that mark languages on other elements, too.
        """
        for piece, tongues in self.pieces:
            piece.given = [(a, b, lang) for a, b, lang, root in tongues if not root or self._marks_languages]
        return [piece for piece, _ in self.pieces]

    def open(self, tag: str, attributes: dict[str, str]) -> None:
        """Take the start of an element."""
        if not self._frames:
            if tag not in _ROOTS:
                name = tag.rpartition(" ")[2][:40]
                raise ReadError(self.where(), f"XML whose root is <{name}>", "TTML (<tt>)", "Give a TTML file.")
            self._rates = read_rates(attributes, self.where())
            self._frames.append(Frame("tt", lang=attributes.get(_XML + "lang", "")))
        elif self._skipped or tag not in _CONTENT:
            self._skipped += 1
            if tag.endswith("#metadata agent"):
                self._agent = attributes.get(_XML + "id", "")
            elif tag in _BREAKS and self._skipped == 1:
                self.add("\n", in_break=True)
        else:
            self._open_content(tag.rpartition(" ")[2], attributes)

    def _open_content(self, name: str, attributes: dict[str, str]) -> None:
        parent = self._frames[-1]
        if name == "p":
            self._text, self._length, self._tongues, self._words = [], 0, [], []
        begin, end, own = self._interval(parent, attributes)
        lang = attributes.get(_XML + "lang")
        if lang is not None and language_of(lang):
            self._marks_languages = True
        frame = Frame(
            name,
            begin,
            end,
            parent.lang if lang is None else lang,
            parent.lang_of_root and lang is None,
            attributes.get(f"{_TTML}#metadata agent", parent.agent),
            parent.timed or own,
            own,
            attributes.get("timeContainer") == "seq",
            begin,
            self._length,
        )
        self._frames.append(frame)

    def _interval(self, parent: Frame, attributes: dict[str, str]) -> tuple[float, float | None, bool]:
        """Give begin and end, counted from the parent's begin (or the brother's end), inside the parent."""
        names = [name for name in ("begin", "end", "dur") if name in attributes]
        if not names and not parent.sequence:
            return parent.begin, parent.end, False
        times = {name: read_time(attributes[name], self._rates, self.where()) for name in names}
        base = parent.cursor if parent.sequence else parent.begin
        begin = base + times.get("begin", 0.0)
        ends = [] if parent.end is None else [parent.end]
        if "end" in times:
            if times["end"] < times.get("begin", 0.0):
                found = f"ends ({attributes['end']}) before it begins ({attributes['begin']})"
                raise ReadError(self.where(), found, "an end after the begin", "Mend the times.")
            ends.append(base + times["end"])
        if "dur" in times:
            ends.append(begin + times["dur"])
        return begin, max(begin, min(ends)) if ends else None, bool(names)

    def add(self, chars: str, in_break: bool = False) -> None:
        """Take character data."""
        if self._agent:
            self._agents[self._agent] = self._agents.get(self._agent, "") + chars
        frame = self._frames[-1]
        if (self._skipped and not in_break) or frame.name not in {"p", "span"}:
            return
        start, self._length = self._length, self._length + len(chars)
        self._text.append(chars)
        lang = language_of(frame.lang) if frame.lang else None
        if lang is None:
            return
        if self._tongues and self._tongues[-1][1:] == (start, lang, frame.lang_of_root):
            start = self._tongues.pop()[0]
        self._tongues.append((start, self._length, lang, frame.lang_of_root))

    def close(self, _tag: str) -> None:
        """Take the end of an element."""
        if self._skipped:
            self._skipped -= 1
            if not self._skipped:
                self._agent = ""
            return
        frame = self._frames.pop()
        if self._frames and frame.end is not None:
            self._frames[-1].cursor = max(self._frames[-1].cursor, frame.end)
        if frame.name == "span" and frame.own and frame.end is not None:
            # Of timed spans one inside another the innermost closes first, and holds.
            if self._length > frame.place and (not self._words or frame.place >= self._words[-1][1]):
                self._words.append((frame.place, self._length, _ms(frame.begin), _ms(frame.end), None))
        elif frame.name == "p":
            self._close_line(frame)

    def _close_line(self, frame: Frame) -> None:
        text = "".join(self._text)
        begin, end = _ms(frame.begin), None if frame.end is None else _ms(frame.end)
        if self._words and not frame.own:
            # The line is there only while its spans are.
            begin = min(word[2] for word in self._words)
            end = max(word[3] for word in self._words)
        self.duration_ms = max(self.duration_ms, begin, end or 0)
        if not text.strip():
            return
        if not frame.timed and not self._words:
            self.untimed += 1
            return
        voice = self._agents.get(frame.agent, "").strip() or frame.agent or None
        self.pieces.append((Piece(begin, end, text, voice, [], self._words), self._tongues))


def _ms(seconds: float) -> int:
    return round(seconds * 1000)
