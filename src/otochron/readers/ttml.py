"""TTML2 / IMSC text profile: one line for each ``p``; timed spans inside it give times to their words."""

from __future__ import annotations

from dataclasses import dataclass, field
from xml.parsers import expat

from otochron.errors import ReadError
from otochron.model import Lang, Record
from otochron.readers.pieces import Piece, language_of, make_record
from otochron.readers.rolling import unroll
from otochron.readers.ttml_time import Rates, read_rates, read_time

_XML = "http://www.w3.org/XML/1998/namespace "
_NAMESPACES = (
    "http://www.w3.org/ns/ttml",
    "http://www.w3.org/2006/10/ttaf1",
    "http://www.w3.org/2006/04/ttaf1",
    "",
)
_CONTENT = {"tt", "body", "div", "p", "span", "br"}


@dataclass(slots=True)
class _Frame:
    """One open element: its resolved interval, and what its children inherit."""

    name: str
    begin: float
    end: float | None
    timed: bool
    sequence: bool
    cursor: float
    lang: str | None
    lang_is_root: bool
    agent: str | None
    since: int = 0
    own: bool = False


@dataclass(slots=True)
class _Reading:
    """What has been read so far."""

    name: str
    parser: expat.XMLParserType
    frames: list[_Frame] = field(default_factory=list)
    skipped: int = 0
    rates: Rates = field(default_factory=Rates)
    agents: dict[str, str] = field(default_factory=dict)
    agent: str | None = None
    text: list[str] = field(default_factory=list)
    length: int = 0
    tongues: list[tuple[int, int, Lang, bool]] = field(default_factory=list)
    words: list[tuple[int, int, int, int, float | None]] = field(default_factory=list)
    pieces: list[tuple[Piece, list[tuple[int, int, Lang, bool]]]] = field(default_factory=list)
    untimed: int = 0
    marks_languages: bool = False
    duration_ms: int = 0

    def where(self) -> str:
        return f"{self.name}, line {self.parser.CurrentLineNumber}"


def read_ttml(text: str, data: bytes, name: str) -> Record:
    """Read TTML. A document type or entity declaration is refused, and nothing is ever fetched."""
    parser = expat.ParserCreate(namespace_separator=" ")
    reading = _Reading(name, parser)

    def refuse(*_: object) -> None:
        found = "a document type declaration"
        raise ReadError(reading.where(), found, "TTML without DTD and entities", "Take the declaration out.")

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.ExternalEntityRefHandler = refuse
    parser.buffer_text = True
    parser.StartElementHandler = lambda tag, attributes: _open(reading, tag, attributes)
    parser.EndElementHandler = lambda tag: _close(reading, tag)
    parser.CharacterDataHandler = lambda chars: _add_text(reading, chars)
    try:
        parser.Parse(text.lstrip(), True)
    except expat.ExpatError as error:
        problem = expat.ErrorString(error.code) if error.code else str(error)
        where = f"{name}, line {error.lineno}"
        raise ReadError(
            where, f"not well-formed XML ({problem})", "a TTML document", "Mend the file."
        ) from None
    if reading.untimed and not reading.pieces:
        raise ReadError(name, "no times", "begin and end on the <p> elements", "Export it with times.")
    pieces = []
    for piece, tongues in reading.pieces:
        piece.given = [(a, b, lang) for a, b, lang, root in tongues if not root or reading.marks_languages]
        pieces.append(piece)
    return make_record(unroll(pieces), data, name, "ttml", reading.duration_ms)


def _open(reading: _Reading, tag: str, attributes: dict[str, str]) -> None:
    space, _, local = tag.rpartition(" ")
    if not reading.frames:
        if local != "tt" or space not in _NAMESPACES:
            raise ReadError(
                reading.where(), f"XML of root <{local[:40]}>", "TTML with root <tt>", "Give a TTML file."
            )
        reading.rates = read_rates(attributes, reading.where())
        lang = attributes.get(_XML + "lang")
        reading.frames.append(_Frame("tt", 0.0, None, False, False, 0.0, lang, True, None))
        return
    if local == "agent":
        reading.agent = attributes.get(_XML + "id")
        reading.skipped += 1
        return
    if reading.skipped or local not in _CONTENT or space not in _NAMESPACES:
        reading.skipped += 1
        return
    if local == "br":
        _append(reading, "\n")
        reading.skipped += 1
        return
    reading.frames.append(_frame(reading, local, attributes))


def _frame(reading: _Reading, local: str, attributes: dict[str, str]) -> _Frame:
    parent = reading.frames[-1]
    where = reading.where()
    rates = reading.rates
    times = {k: read_time(attributes[k], rates, where) for k in ("begin", "end", "dur") if k in attributes}
    base = parent.cursor if parent.sequence else parent.begin
    begin = base + times.get("begin", 0.0)
    ends = [t for t in (parent.end,) if t is not None]
    if "end" in times:
        if base + times["end"] < begin:
            found = f"ends ({attributes['end']}) before it begins ({attributes.get('begin', '0s')})"
            raise ReadError(where, found, "an end after the begin", "Mend the times.")
        ends.append(base + times["end"])
    if "dur" in times:
        ends.append(begin + times["dur"])
    end = max(begin, min(ends)) if ends else None
    frame = _Frame(
        local, begin, end, parent.timed or bool(times), False, begin, parent.lang, parent.lang_is_root, None
    )
    frame.sequence = attributes.get("timeContainer") == "seq"
    if (lang := attributes.get(_XML + "lang")) is not None:
        frame.lang, frame.lang_is_root = lang, False
        reading.marks_languages = reading.marks_languages or language_of(lang) is not None
    metadata = "http://www.w3.org/ns/ttml#metadata agent"
    frame.agent = attributes.get(metadata, parent.agent)
    frame.own = bool(times)
    if local == "p":
        reading.text, reading.length, reading.tongues, reading.words = [], 0, [], []
    frame.since = reading.length
    return frame


def _append(reading: _Reading, chars: str) -> None:
    frame = reading.frames[-1]
    if frame.name not in {"p", "span"}:
        return
    lang = language_of(frame.lang) if frame.lang else None
    start, reading.length = reading.length, reading.length + len(chars)
    reading.text.append(chars)
    if lang is None:
        return
    last = reading.tongues[-1] if reading.tongues else None
    if last is not None and last[1:] == (start, lang, frame.lang_is_root):
        reading.tongues[-1] = (last[0], reading.length, lang, frame.lang_is_root)
    else:
        reading.tongues.append((start, reading.length, lang, frame.lang_is_root))


def _add_text(reading: _Reading, chars: str) -> None:
    if reading.agent is not None:
        reading.agents[reading.agent] = reading.agents.get(reading.agent, "") + chars
    elif not reading.skipped and reading.frames:
        _append(reading, chars)


def _close(reading: _Reading, tag: str) -> None:
    if reading.skipped:
        reading.skipped -= 1
        if tag.endswith(" agent") or tag == "agent":
            reading.agent = None
        return
    frame = reading.frames.pop()
    if not reading.frames:
        return
    parent = reading.frames[-1]
    if frame.end is not None:
        parent.cursor = max(parent.cursor, frame.end)
    if frame.name == "span" and frame.own and frame.end is not None and reading.length > frame.since:
        reading.words.append(
            (frame.since, reading.length, round(frame.begin * 1000), round(frame.end * 1000), None)
        )
    if frame.name == "p":
        _close_line(reading, frame)


def _close_line(reading: _Reading, frame: _Frame) -> None:
    text = "".join(reading.text)
    begin = round(frame.begin * 1000)
    end = None if frame.end is None else round(frame.end * 1000)
    words = _outermost_last(reading.words)
    if words and not frame.own:
        # The line is on screen only while its spans are.
        begin = max(begin, min(w[2] for w in words))
        last = max(w[3] for w in words)
        end = last if end is None else min(end, last)
    if end is not None:
        end = max(begin, end)
        reading.duration_ms = max(reading.duration_ms, end)
    if not text.strip():
        return
    if not frame.timed and not words:
        reading.untimed += 1
        return
    name = frame.agent and (reading.agents.get(frame.agent, "").strip() or frame.agent)
    reading.pieces.append((Piece(begin, end, text, name or None, [], words), reading.tongues))


def _outermost_last(
    words: list[tuple[int, int, int, int, float | None]],
) -> list[tuple[int, int, int, int, float | None]]:
    """Keep the innermost of nested timed spans: they close first."""
    kept: list[tuple[int, int, int, int, float | None]] = []
    for word in words:
        if not kept or word[0] >= kept[-1][1]:
            kept.append(word)
    return kept
