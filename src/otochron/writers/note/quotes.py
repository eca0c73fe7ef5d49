"""Quotations: words stay in their language, run by run, and say which it is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from otochron.model import Lang, Saying, Span
from otochron.text.normal import key
from otochron.text.stream import Places, Word, split_words, words
from otochron.writers.note.document import Part, Run, upper
from otochron.writers.note.teller import Teller

_BEFORE = 60
"""So many words before its evidence may a quotation begin."""
_MOST_NAMED = 2
_NAMED = frozenset(
    {"structure", "landmark", "implant", "graft", "instrument", "disease", "complication", "step", "drug"}
)


class Quoter:
    """Quotes what was spoken in one record."""

    def __init__(self, teller: Teller) -> None:
        self.teller = teller
        self.stream = words(teller.record)
        self.places = Places(self.stream, teller.record.lines)

    def saying(self, saying: Saying) -> Part:
        """Quote a reason or a caution, with what it is about, if that is one or two things."""
        lexicon = self.teller.lexicon
        named = [c for c in dict.fromkeys(saying.about) if c in lexicon and lexicon[c].kind in _NAMED]
        about = [c for c in named if not self.teller.words.is_listed(c, "note-general")]
        names = [self.teller.words.name(c) for c in about] if len(about) <= _MOST_NAMED else []
        lead = self.teller.say("lead", what=upper(self.teller.grammar.listed(names))) + " " if names else ""
        quotation = self.quoted(saying.text, saying.language, saying.evidence)
        return (Run(lead), *quotation) if lead else quotation

    def quoted(self, text: str, language: Lang, spans: Sequence[Span]) -> Part:
        """Quote words; where some are of the other language, say which languages they are."""
        left, right = self.teller.grammar.quoted("\x00").split("\x00")
        runs = self.runs(text, language, spans)
        spoken = list(dict.fromkeys(run.quote for run in runs if run.quote))
        names = self.teller.grammar.listed([self.teller.words.say(f"language-{name}") for name in spoken])
        times = self.teller.time(spans)[1:-1]
        mark = times if spoken == [self.teller.lang] else f"{self.teller.say('in-language', name=names)}, {times}"
        return (Run(left), *runs, Run(f"{right} ({mark})"))

    def runs(self, text: str, language: Lang, spans: Sequence[Span]) -> list[Run]:
        """Cut a quotation where its language changes."""
        text = text.strip()
        offsets = split_words(text)
        spoken = self._spoken([key(text[a:b]) for a, b in offsets], spans)
        if not spoken:
            return [Run(text, quote=language)]
        found: list[Run] = []
        place = 0
        for tongue, group in groupby(zip(offsets, spoken, strict=True), key=lambda pair: pair[1].language):
            end = list(group)[-1][0][1]
            found.append(Run(text[place:end], quote=tongue))
            place = end
        return [*found[:-1], Run(found[-1].text + text[place:], quote=found[-1].quote)] if found else []

    def _spoken(self, keys: list[str], spans: Sequence[Span]) -> Sequence[Word]:
        """Give the words of the stream that a quotation repeats; none if it was changed."""
        if not spans or not keys:
            return ()
        near = self.places.first(spans[0])
        for first in range(min(near, len(self.stream) - len(keys)), max(-1, near - _BEFORE), -1):
            found = self.stream[first : first + len(keys)]
            if first >= 0 and [word.key for word in found] == keys:
                return found
        return ()
