"""Hide spoken personal data everywhere in a record. Which words: ``otochron.text.personal`` and its cue lists."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from pathlib import PurePath
from typing import Any, TypeVar

from otochron.corrections.anchors import Shift
from otochron.lexicon import Lexicon
from otochron.lexicon.personal import personal_spans
from otochron.model import Bilingual, Case, Frozen, Line, Plan, Record, Saying, Span
from otochron.text.frequencies import frequencies
from otochron.text.stream import split_words, surface

SIGN = "█"
_EVERYDAY = 1.6e-5
"""Share of all words from which a word is everyday speech: such a word is hidden only where it was announced."""
_WORD = re.compile(r"[^\W_]+")
_Part = TypeVar("_Part", bound=Frozen)


def mask_record(record: Record, lexicon: Lexicon) -> Record:
    """Hide names, birth dates and file numbers that are spoken, and names of voices and of the file.

    Parameters
    ----------
    record : Record
        Complete.
    lexicon : Lexicon
        The cues that announce personal data.

    Returns
    -------
    Record
        Every hidden letter and digit is one block sign, so that all offsets stay true. A name that was announced
        once is hidden wherever it is spoken. What is repeated in messages and quotations is hidden too.
    """
    spans = personal_spans(record, lexicon)
    hidden = _Hidden(record, spans)
    voices = {voice: f"voice {n}" for n, voice in enumerate(dict.fromkeys(x.voice for x in record.lines if x.voice), 1)}
    lines = tuple(hidden.line(line, voices.get(line.voice or "")) for line in record.lines)
    masked = record.evolve(lines=lines)
    suffix = "".join(PurePath(record.recording.name).suffixes[-1:])
    suffix = suffix if re.fullmatch(r"\.[a-z]{1,5}", suffix) else ""
    return masked.evolve(
        recording=record.recording.evolve(name=f"recording{suffix}"),
        repairs=tuple(
            r.evolve(
                heard=hidden.heard_of(r.line, r.heard_start, r.heard_end),
                text=hidden.repaired(r.line, r.text_start, r.text_end, r.text, applied=r.decision == "applied"),
                alternatives=() if hidden.touches_heard(r.line, r.heard_start, r.heard_end) else r.alternatives,
            )
            for r in record.repairs
        ),
        mentions=tuple(m.evolve(surface=hidden.surface(masked, m, m.surface)) for m in record.mentions),
        measurements=tuple(m.evolve(surface=hidden.surface(masked, m, m.surface)) for m in record.measurements),
        case=_case(record.case, hidden),
        corrections=tuple(
            c.evolve(target=hidden.said(c.target), was=hidden.said(c.was), now=hidden.said(c.now), by=hidden.said(c.by))
            for c in record.corrections
        ),
        checks=tuple(
            c.evolve(
                message=Bilingual(en=hidden.told(c.message.en, c.evidence), fr=hidden.told(c.message.fr, c.evidence))
            )
            for c in record.checks
        ),
    )


class _Hidden:
    """The places to hide, by line, in ``text`` and in ``heard``; and the words that stand there."""

    def __init__(self, record: Record, spans: Iterable[Span]) -> None:
        self.record = record
        order = [line.id for line in record.lines]
        shifts = {line.id: Shift([r for r in record.repairs if r.line == line.id]) for line in record.lines}
        self.text: dict[str, set[int]] = {}
        self.heard: dict[str, set[int]] = {}
        self.words: set[str] = set()
        by_id = {line.id: line for line in record.lines}
        for span in spans:
            first, last = order.index(span.line), order.index(span.to_line)
            for name in order[first : last + 1]:
                start = span.start if name == span.line else 0
                end = span.end if name == span.to_line else len(by_id[name].text)
                self._hide(by_id[name], start, end, shifts[name])
        self.names = {word for word in self.words if _is_name(word)}
        for line in record.lines:
            self._hide_names(line, shifts[line.id])

    def _hide(self, line: Line, start: int, end: int, shift: Shift) -> None:
        self.text.setdefault(line.id, set()).update(range(start, end))
        one, two = shift.to_heard(start), shift.to_heard(end, end=True)
        self.heard.setdefault(line.id, set()).update(range(one, two))
        self.words |= {w.casefold() for w in _WORD.findall(line.text[start:end]) + _WORD.findall(line.heard[one:two])}

    def _hide_names(self, line: Line, shift: Shift) -> None:
        """Hide every other place of a name; what a repair made of it is hidden with it."""
        for start, end in split_words(line.text):
            if line.text[start:end].casefold() in self.names:
                self.text.setdefault(line.id, set()).update(range(start, end))
                self.heard.setdefault(line.id, set()).update(
                    range(shift.to_heard(start), shift.to_heard(end, end=True))
                )
        for start, end in split_words(line.heard):
            if line.heard[start:end].casefold() in self.names:
                self.heard.setdefault(line.id, set()).update(range(start, end))
                self.text.setdefault(line.id, set()).update(range(shift.to_text(start), shift.to_text(end, end=True)))

    def line(self, line: Line, voice: str | None) -> Line:
        """Hide what a line holds."""
        return line.evolve(
            text=_blocked(line.text, self.text.get(line.id, set())),
            heard=_blocked(line.heard, self.heard.get(line.id, set())),
            voice=voice or line.voice,
        )

    def touches_heard(self, line: str, start: int, end: int) -> bool:
        """Tell whether something is hidden in a stretch of ``heard``."""
        return any(start <= place < end for place in self.heard.get(line, ()))

    def heard_of(self, line: str, start: int, end: int) -> str:
        """Give a stretch of ``heard`` with what is hidden."""
        whole = next(x for x in self.record.lines if x.id == line).heard
        return _blocked(whole, self.heard.get(line, set()))[start:end]

    def repaired(self, line: str, start: int, end: int, text: str, *, applied: bool) -> str:
        """Give the text of a repair; a suggestion for hidden words is hidden whole."""
        places = self.text.get(line, set())
        if applied:
            return _blocked(text, {place - start for place in places if start <= place < end})
        return _blocked(text, set(range(len(text)))) if any(start <= place < end for place in places) else text

    def surface(self, masked: Record, span: Span, said: str) -> str:
        """Give the words of a span; only changed where something is hidden."""
        return surface(masked, span) if self.touches(span) else said

    def touches(self, span: Span) -> bool:
        """Tell whether something is hidden in a span."""
        if span.line == span.to_line:
            return any(span.start <= place < span.end for place in self.text.get(span.line, ()))
        order = [line.id for line in self.record.lines]
        return any(self.text.get(name) for name in order[order.index(span.line) : order.index(span.to_line) + 1])

    def told(self, text: str, evidence: Iterable[Span]) -> str:
        """Hide in a message the words that are hidden in its evidence, and names anywhere."""
        words = self.words if any(self.touches(span) for span in evidence) else self.names
        return _without(text, words)

    def said(self, text: str | None) -> Any:
        """Hide in free text every word that is hidden somewhere."""
        return None if text is None else _without(text, self.words)


def _is_name(word: str) -> bool:
    return word.isalpha() and max(frequencies("en").get(word, 0.0), frequencies("fr").get(word, 0.0)) < _EVERYDAY


def _blocked(text: str, places: set[int]) -> str:
    return "".join(SIGN if n in places and sign.isalnum() else sign for n, sign in enumerate(text))


def _without(text: str, words: set[str]) -> str:
    return _WORD.sub(lambda m: SIGN * len(m.group()) if m.group().casefold() in words else m.group(), text)


def _case(case: Case, hidden: _Hidden) -> Case:
    """Hide what facts repeat of the words: quotations and attributes."""

    def each(items: tuple[_Part, ...], change: Callable[[Any], Any]) -> tuple[_Part, ...]:
        return tuple(change(item) for item in items)

    def fact(item: Any) -> Any:
        changes: dict[str, Any] = {}
        if isinstance(item, (Saying, Plan)) and item.text:
            changes["text"] = hidden.told(item.text, item.evidence)
        if item.attributes:
            changes["attributes"] = {
                key: hidden.told(value, item.evidence) if isinstance(value, str) else value
                for key, value in item.attributes.items()
            }
        return item.evolve(**changes) if changes else item

    changes: dict[str, Any] = {}
    for name in Case.model_fields:
        value = getattr(case, name)
        if isinstance(value, tuple):
            changes[name] = each(value, fact)
    tissue = case.tissue.evolve(removed=each(case.tissue.removed, fact), altered=each(case.tissue.altered, fact))
    return case.evolve(tissue=tissue, **changes)
