"""The small sentences of a note: names, states, times, attributes."""

from __future__ import annotations

import re
from collections.abc import Sequence

from otochron.lexicon import Lexicon
from otochron.model import Item, Lang, Measurement, Record, Side, Span, Status
from otochron.writers.note.document import Part, plain, upper
from otochron.writers.wording import NBSP, Wording, clock, size

__all__ = ["UNSHOWN", "Teller", "lower", "upper"]

_MOST_TIMES = 3
UNSHOWN: frozenset[Status] = frozenset({"retracted", "general"})
"""What was taken back, or is habit and teaching, is no fact of this operation."""
_DECIMAL = re.compile(r"\d+\.\d+")
_AMOUNT = re.compile(r"^([\d.,:]+) (\D+)$")


class Teller:
    """Makes the parts of lines for one record in one language."""

    def __init__(self, record: Record, lexicon: Lexicon, lang: Lang) -> None:
        self.record = record
        self.lexicon = lexicon
        self.lang: Lang = lang
        self.words = Wording(lexicon, lang)
        self.grammar = self.words.grammar
        self.sizes: dict[str, Measurement] = {m.id: m for m in record.measurements}

    def say(self, phrase: str, **values: str) -> str:
        """Give a phrase, set as print wants it."""
        return self.grammar.tidy(self.words.say(phrase, **values))

    def name(self, concept: str | None) -> str:
        """Name a concept, set as print wants it."""
        return self.grammar.tidy(self.words.name(concept))

    def title(self, step: str) -> str:
        """Give the title of a step."""
        entry = self.lexicon.get(step)
        title = entry.tongue(self.lang).title if entry else None
        return self.grammar.tidy(self.words.proper(title) if title else self.words.name(step))

    def lead(self, what: str) -> str:
        """Make the words that name the subject of a line."""
        return self.say("lead", what=upper(what))

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

    def timed(self, text: str, spans: Sequence[Span]) -> Part:
        """Make one part that ends with its time."""
        return plain(f"{self.grammar.tidy(text)} {self.time(spans)}")

    def marked(self, what: str, mark: str) -> str:
        """Put a mark behind a thing: "vein graft: given up"."""
        return self.words.say("marked", what=what, mark=mark)

    def stated(self, concept: str | None, status: Status, extra: str = "") -> str:
        """State a thing by name: there, denied, doubted, planned, thought of, or of the past."""
        name, gender = self.words.name(concept), self.words.gender(concept)
        if status == "affirmed":
            return name + extra
        if status == "negated":
            return self.grammar.no(name, gender) + extra
        # The part before the bar agrees with the name.
        agreeing, _, rest = self.words.say(f"status-{status}").partition("|")
        return self.marked(name + extra, self.grammar.agree(agreeing, gender) + rest)

    def item(self, item: Item) -> Part:
        """Make the part of a generic fact: its name, what belongs to it, its ear, its time."""
        return self.timed(self.stated(item.concept, item.status, self.detail(item)), item.evidence)

    def detail(self, item: Item, *unshown: str) -> str:
        """Give what belongs to a fact: attributes and the ear."""
        told = [
            self.attribute(name, value)
            for name, value in sorted(item.attributes.items())
            if value not in (None, False) and name not in unshown
        ]
        return (f" ({'; '.join(told)})" if told else "") + self.ear(item.side)

    def attribute(self, name: str, value: object) -> str:
        """Give one attribute as the word lists word it; of a list of values, each."""
        known = f"attribute-{name}"
        if value is True:
            return self.words.say(known, value="") if self.words.has(known) else name
        shown = self.grammar.listed([self.value(part.strip()) for part in str(value).split(",")])
        if self.words.has(known):
            return self.words.say(known, value=shown)
        return self.marked(name.replace("_", " "), shown)

    def value(self, text: str) -> str:
        """Give a value: the name of a concept or an ear, a size by its id, or a number with its unit."""
        if text in self.sizes:
            return size(self.sizes[text], self.lang)
        if self.words.has(f"ear-{text}"):
            return self.words.say(f"ear-{text}")
        if text.startswith("P") and (duration := self.words.span_of_time(text)) != text:
            return duration
        entry = self.lexicon.get(text)
        if entry is not None:
            return lower(self.title(text)) if entry.kind == "step" else self.words.name(text)
        if self.words.has(f"value-{text}"):
            return self.words.say(f"value-{text}")
        return self.amount(text)

    def amount(self, text: str) -> str:
        """Write the numbers of a text as the language does, with its unit after a no-break space."""
        text = _DECIMAL.sub(lambda match: self.grammar.number(float(match.group())), text)
        match = _AMOUNT.match(text)
        if not match:
            return text
        return match[1] + ("" if match[2] in self.grammar.NO_GAP else NBSP) + match[2]


def lower(text: str) -> str:
    """Write the first letter small, unless the word is an abbreviation.

    >>> lower("Canal cleaning"), lower("CT scan")
    ('canal cleaning', 'CT scan')
    """
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]
