"""The places of a record that are hidden, and what any text looks like with them hidden."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from otochron.corrections.anchors import Shift
from otochron.model import Line, Record, Repair, Span
from otochron.text.frequencies import frequencies
from otochron.text.normal import key
from otochron.text.stream import Places, split_words, surface, words

SIGN = "█"
_EVERYDAY = 1.6e-5
"""Share of all words from which a word is everyday speech: such a word is hidden only where it was announced."""
_WORD = re.compile(r"[^\W_]+")
_NEAR = 60
"""So many words around its evidence is a quotation looked for."""


class Hidden:
    """Places to hide, by line, in ``text`` and in ``heard``; and the words that stand there.

    Parameters
    ----------
    record : Record
        Whose offsets count.
    in_text, in_heard : sequences of Span
        What to hide: spans of ``text``, and spans of ``heard``.
    """

    def __init__(self, record: Record, in_text: Iterable[Span], in_heard: Iterable[Span] = ()) -> None:
        self.record = record
        self.order = {line.id: n for n, line in enumerate(record.lines)}
        repairs: dict[str, list[Repair]] = {}
        for repair in record.repairs:
            repairs.setdefault(repair.line, []).append(repair)
        self.shifts = {line.id: Shift(repairs.get(line.id, [])) for line in record.lines}
        self.text: dict[str, set[int]] = {}
        self.heard: dict[str, set[int]] = {}
        self.words: set[str] = set()
        for span in in_text:
            for line, start, end in self._pieces(span, heard=False):
                self._hide_text(line, start, end)
        for span in in_heard:
            for line, start, end in self._pieces(span, heard=True):
                self._hide_heard(line, start, end)
        self.names = {word for word in self.words if _is_name(word)}
        for line in record.lines:
            self._hide_names(line)
        self.stream = words(record)
        self.places = Places(self.stream, record.lines)

    def _pieces(self, span: Span, *, heard: bool) -> Iterable[tuple[Line, int, int]]:
        """Give the stretch of each line that a span covers."""
        for n in range(self.order[span.line], self.order[span.to_line] + 1):
            line = self.record.lines[n]
            whole = line.heard if heard else line.text
            yield line, span.start if line.id == span.line else 0, span.end if line.id == span.to_line else len(whole)

    def _hide_text(self, line: Line, start: int, end: int) -> None:
        shift = self.shifts[line.id]
        self._hide(line, (start, end), (shift.to_heard(start), shift.to_heard(end, end=True)))

    def _hide_heard(self, line: Line, start: int, end: int) -> None:
        shift = self.shifts[line.id]
        self._hide(line, (shift.to_text(start), shift.to_text(end, end=True)), (start, end))

    def _hide(self, line: Line, text: tuple[int, int], heard: tuple[int, int]) -> None:
        self.text.setdefault(line.id, set()).update(range(*text))
        self.heard.setdefault(line.id, set()).update(range(*heard))
        spoken = _WORD.findall(line.text[slice(*text)]) + _WORD.findall(line.heard[slice(*heard)])
        self.words |= {word.casefold() for word in spoken}

    def _hide_names(self, line: Line) -> None:
        """Hide every other place of a name, with what a repair made of it."""
        for start, end in split_words(line.text):
            if line.text[start:end].casefold() in self.names:
                self._hide_text(line, start, end)
        for start, end in split_words(line.heard):
            if line.heard[start:end].casefold() in self.names:
                self._hide_heard(line, start, end)

    def line(self, line: Line) -> Line:
        """Hide what a line holds."""
        return line.evolve(
            text=_blocked(line.text, self.text.get(line.id, set())),
            heard=_blocked(line.heard, self.heard.get(line.id, set())),
        )

    def touches_heard(self, line: str, start: int, end: int) -> bool:
        """Tell whether something is hidden in a stretch of ``heard``."""
        return any(start <= place < end for place in self.heard.get(line, ()))

    def heard_of(self, line: str, start: int, end: int) -> str:
        """Give a stretch of ``heard`` with what is hidden."""
        whole = self.record.lines[self.order[line]].heard
        return _blocked(whole, self.heard.get(line, set()))[start:end]

    def repaired(self, repair: Repair) -> str:
        """Give the text of a repair; a suggestion for hidden words is hidden whole."""
        places = self.text.get(repair.line, set())
        inside = {place - repair.text_start for place in places if repair.text_start <= place < repair.text_end}
        if repair.decision == "applied":
            return _blocked(repair.text, inside)
        touched = inside or self.touches_heard(repair.line, repair.heard_start, repair.heard_end)
        return _blocked(repair.text, set(range(len(repair.text)))) if touched else repair.text

    def surface(self, masked: Record, span: Span, said: str) -> str:
        """Give the words of a span; only changed where something is hidden."""
        return surface(masked, span) if self.touches(span) else said

    def touches(self, span: Span) -> bool:
        """Tell whether something is hidden in a span."""
        return any(
            any(start <= place < end for place in self.text.get(line.id, ()))
            for line, start, end in self._pieces(span, heard=False)
        )

    def told(self, text: str, evidence: Iterable[Span]) -> str:
        """Hide in a message the words that are hidden in its evidence, and names anywhere."""
        return _without(text, self.words if any(self.touches(span) for span in evidence) else self.names)

    def anywhere(self, text: str) -> str:
        """Hide in free text every word that is hidden somewhere."""
        return _without(text, self.words)

    def quoted(self, text: str, evidence: Sequence[Span]) -> str:
        """Hide in a quotation what is hidden at its place; where its place is not found, every hidden word."""
        offsets = split_words(text)
        keys = [key(text[a:b]) for a, b in offsets]
        near = self.places.first(evidence[0]) if evidence else 0
        for first in range(max(0, near - _NEAR), min(near + _NEAR, len(self.stream) - len(keys)) + 1):
            spoken = self.stream[first : first + len(keys)]
            if keys and [word.key for word in spoken] == keys:
                gone: set[int] = set()
                for (start, end), word in zip(offsets, spoken, strict=True):
                    if any(word.start <= place < word.end for place in self.text.get(word.line, ())):
                        gone |= set(range(start, end))
                return _blocked(text, gone)
        return self.anywhere(text)


def _is_name(word: str) -> bool:
    return word.isalpha() and max(frequencies("en").get(word, 0.0), frequencies("fr").get(word, 0.0)) < _EVERYDAY


def _blocked(text: str, places: set[int]) -> str:
    return "".join(SIGN if n in places and sign.isalnum() else sign for n, sign in enumerate(text))


def _without(text: str, gone: set[str]) -> str:
    return _WORD.sub(
        lambda match: SIGN * len(match.group()) if match.group().casefold() in gone else match.group(), text
    )
