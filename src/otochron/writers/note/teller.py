"""The small sentences of a note: names, states, times, quotations."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from otochron.lexicon import Lexicon
from otochron.model import Item, Lang, Line, Measurement, Record, Saying, Side, Span, Status
from otochron.writers.note.document import Run, plain
from otochron.writers.wording import Wording, clock, size

_MOST_TIMES = 3
UNSHOWN: frozenset[Status] = frozenset({"retracted", "general"})
"""What was taken back, or is habit and teaching, is no fact of this operation."""
_CAPITAL = re.compile(r"^\W*\w")


class Teller:
    """Makes the parts of lines for one record in one language."""

    def __init__(self, record: Record, lexicon: Lexicon, lang: Lang) -> None:
        self.record = record
        self.lexicon = lexicon
        self.lang: Lang = lang
        self.words = Wording(lexicon, lang)
        self.sizes: dict[str, Measurement] = {m.id: m for m in record.measurements}
        self.lines: dict[str, Line] = {line.id: line for line in record.lines}

    def say(self, phrase: str, **values: str) -> str:
        """Give a phrase, set as print wants it."""
        return self.words.grammar.tidy(self.words.say(phrase, **values))

    def name(self, concept: str | None) -> str:
        """Name a concept, set as print wants it."""
        return self.words.grammar.tidy(self.words.name(concept))

    def time(self, spans: Sequence[Span]) -> str:
        """Give the times of the evidence in brackets; a fact without any is the surgeon's word."""
        if not spans:
            return f"({self.say('surgeon-word')})"
        times = list(dict.fromkeys(clock(span.start_ms) for span in sorted(spans, key=lambda s: s.start_ms)))
        more = ", …" if len(times) > _MOST_TIMES else ""
        return f"({', '.join(times[:_MOST_TIMES])}{more})"

    def ear(self, side: Side | None) -> str:
        """Name the ear of a fact where it is said apart."""
        return f", {self.say(f'ear-{side}')}" if side else ""

    def sentence(self, text: str, spans: Sequence[Span], *, capital: bool = True) -> tuple[Run, ...]:
        """Make one sentence that ends with its time."""
        return plain(f"{upper(text) if capital else text} {self.time(spans)}.")

    def stated(self, concept: str | None, status: Status, *, extra: str = "") -> str:
        """State a thing by name: there, denied, doubted, planned, thought of, or of the past."""
        name, gender = self.name(concept), self.words.gender(concept)
        if status == "negated":
            return self.words.grammar.tidy(self.words.grammar.no(self.words.name(concept), gender)) + extra
        if status == "affirmed":
            return name + extra
        mark = self.words.grammar.agree(self.words.say(f"status-{status}"), gender if self.words.has(f"status-{status}") else None)
        return self.words.grammar.tidy(self.words.say("marked", what=name + extra, mark=mark))

    def item(self, item: Item) -> tuple[Run, ...]:
        """Make the sentence of a generic fact: its name, what belongs to it, its ear, its time."""
        return self.sentence(self.stated(item.concept, item.status, extra=self.detail(item)), item.evidence)

    def detail(self, item: Item) -> str:
        """Give what belongs to a fact: attributes and the ear."""
        told = [self.attribute(name, value) for name, value in sorted(item.attributes.items()) if value not in (None, False)]
        return (f" ({'; '.join(told)})" if told else "") + self.ear(item.side)

    def attribute(self, name: str, value: object) -> str:
        """Give one attribute: its name where the word lists have one, and its value."""
        if value is True:
            return self.name(name)
        if isinstance(value, (int, float)):
            shown = self.words.grammar.number(float(value))
        else:
            text = str(value)
            shown = self.name(text) if text in self.lexicon else self.sizes_or(text)
        known = f"attribute-{name}"
        if self.words.has(known):
            return self.say(known, value=shown)
        return self.words.grammar.tidy(self.words.say("marked", what=name.replace("_", " ").replace("-", " "), mark=shown))

    def sizes_or(self, text: str) -> str:
        """Give the size that an id names, else the text."""
        found = self.sizes.get(text)
        return size(found, self.lang) if found else text

    def quotation(self, saying: Saying) -> tuple[Run, ...]:
        """Quote a saying in its language, marked, with what it is about and its time."""
        about = [self.name(c) for c in saying.about] or ([self.name(saying.concept)] if saying.concept else [])
        return (*self.about(about), *self.quoted(saying.text, saying.language, saying.evidence))

    def about(self, names: Iterable[str]) -> tuple[Run, ...]:
        """Lead in a quotation by what it is about."""
        shown = self.words.grammar.listed(list(dict.fromkeys(names)))
        return plain(self.words.grammar.tidy(self.words.say("lead", what=upper(shown))) + " ") if shown else ()

    def quoted(self, text: str, language: Lang, spans: Sequence[Span]) -> tuple[Run, ...]:
        """Quote words; those of the other language say which it is."""
        left, right = self.words.grammar.quoted("\x00").split("\x00")
        times = self.time(spans)[1:-1]
        mark = f"({times})" if language == self.lang else f"({self.say(f'in-{language}')}, {times})"
        return (Run(left), Run(text.strip(), quote=language), Run(f"{right} {mark}."))


def upper(text: str) -> str:
    """Write the first letter as a capital; the rest stays.

    >>> upper("étrier : bloqué")
    'Étrier : bloqué'
    """
    match = _CAPITAL.match(text)
    return text[: match.end()].upper() + text[match.end() :] if match else text
