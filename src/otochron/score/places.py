"""Where a gold place lies in the record: words as heard are what both share."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache

from otochron.lexicon import Lexicon
from otochron.lexicon.forms import token
from otochron.model import Record, Repair, Span
from otochron.text.stream import Word, heard_words, split_words, words

_WINDOW_MS = 45_000
"""How far a gold time may lie from the record's: times inside a block are interpolated."""

Range = tuple[int, int]


def heard_tokens(text: str) -> list[str]:
    """Split a text as the stream does."""
    return [token(text[a:b]) for a, b in split_words(text)]


class HeardPlaces:
    """Maps gold places and spans of the repaired text to ranges of heard words."""

    def __init__(self, record: Record) -> None:
        self.record = record
        self.heard: tuple[Word, ...] = heard_words(record)
        self.text: tuple[Word, ...] = words(record)
        self.tokens = [token(word.text) for word in self.heard]
        self.starts = [word.start_ms for word in self.heard]
        self._by_token: dict[str, list[int]] = defaultdict(list)
        for n, name in enumerate(self.tokens):
            self._by_token[name].append(n)
        self._order = {line.id: n for n, line in enumerate(record.lines)}
        self._heard_keys = [(self._order[w.line], w.start) for w in self.heard]
        self._text_keys = [(self._order[w.line], w.start) for w in self.text]
        self._repairs: dict[str, list[Repair]] = defaultdict(list)
        for repair in record.repairs:
            if repair.decision == "applied":
                self._repairs[repair.line].append(repair)

    def find(self, text: str, time_s: float) -> Range | None:
        """Give the range of heard words that say ``text``, nearest to a time."""
        wanted = heard_tokens(text)
        if not wanted:
            return None
        at = time_s * 1000
        near = [
            n
            for n in self._by_token.get(wanted[0], ())
            if self.tokens[n : n + len(wanted)] == wanted and abs(self.starts[n] - at) <= _WINDOW_MS
        ]
        if not near:
            return None
        best = min(near, key=lambda n: (abs(self.starts[n] - at), n))
        return best, best + len(wanted)

    def at(self, time_s: float) -> int:
        """Give the index of the heard word at a time."""
        return bisect_left(self.starts, time_s * 1000)

    def of_repair(self, repair: Repair) -> Range:
        """Give the range of heard words of a repair."""
        line = self._order[repair.line]
        first = bisect_left(self._heard_keys, (line, repair.heard_start))
        last = bisect_left(self._heard_keys, (line, repair.heard_end))
        return first, max(last, first)

    def of_span(self, span: Span) -> Range:
        """Give the range of heard words behind a span of the text."""
        first = bisect_left(self._heard_keys, self._to_heard(span.line, span.start, end=False))
        last = bisect_left(self._heard_keys, self._to_heard(span.to_line, span.end, end=True))
        return first, max(last, first)

    def _to_heard(self, line: str, place: int, *, end: bool) -> tuple[int, int]:
        shift = 0
        for repair in sorted(self._repairs.get(line, ()), key=lambda r: r.text_start):
            if place <= repair.text_start:
                break
            if place < repair.text_end or (place == repair.text_end and end):
                return self._order[line], repair.heard_end if end else repair.heard_start
            shift = repair.heard_end - repair.text_end
        return self._order[line], place + shift

    def text_of(self, heard: Range) -> list[str]:
        """Give the tokens of the repaired text behind a range of heard words."""
        if heard[0] >= heard[1]:
            return []
        one, two = self.heard[heard[0]], self.heard[heard[1] - 1]
        start = self._to_text(one.line, one.start, end=False)
        stop = self._to_text(two.line, two.end, end=True)
        first, last = bisect_left(self._text_keys, start), bisect_left(self._text_keys, stop)
        return [token(word.text) for word in self.text[first:last]]

    def _to_text(self, line: str, place: int, *, end: bool) -> tuple[int, int]:
        shift = 0
        for repair in sorted(self._repairs.get(line, ()), key=lambda r: r.heard_start):
            if place <= repair.heard_start:
                break
            if place < repair.heard_end or (place == repair.heard_end and end):
                return self._order[line], repair.text_end if end else repair.text_start
            shift = repair.text_end - repair.heard_end
        return self._order[line], place + shift

    def language_of(self, n: int) -> str:
        """Give the language that the record gives to a heard word."""
        word = self.heard[n]
        line, place = self._to_text(word.line, word.start, end=False)
        if any(r.heard_start <= word.start < r.heard_end for r in self._repairs.get(word.line, ())):
            place = next(r.text_start for r in self._repairs[word.line] if r.heard_start <= word.start < r.heard_end)
        for span in self.record.lines[line].languages:
            if span.start <= place < span.end:
                return span.language
        return ""


def overlap(one: Range, two: Range) -> bool:
    """Tell whether two ranges share a word."""
    return one[0] < two[1] and two[0] < one[1]


class Terms:
    """Which concepts an English (or French) trade term may stand for."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self._forms: dict[tuple[str, ...], set[str]] = defaultdict(set)
        from otochron.lexicon.forms import inflected

        for entry in lexicon.entries.values():
            if entry.kind in {"cue", "dimension", "protected", "rule"}:
                continue
            for form in entry.en.forms:
                for found in inflected(entry, "en", form):
                    self._forms[found].add(entry.id)
            for form in entry.fr.forms:
                for found in inflected(entry, "fr", form):
                    self._forms[found].add(entry.id)
            self._forms[tuple(entry.id.split("-"))].add(entry.id)
        self.concepts = lru_cache(maxsize=4096)(self._concepts)

    def _concepts(self, term: str) -> frozenset[str]:
        if term in self.lexicon:
            return frozenset({term})
        if term in self.lexicon.aliases:
            return frozenset({self.lexicon.aliases[term]})
        from otochron.lexicon.forms import tokens

        return frozenset(self._forms.get(tokens(term), ()))

    def same(self, term: str | None, concept: str | None) -> bool:
        """Tell whether a term of the gold names the record's concept; a null term only a null concept."""
        if term is None or concept is None:
            return term is concept
        return concept in self.concepts(term)


def tokens_of(items: Sequence[str]) -> list[str]:
    """Give the tokens of several texts in a row."""
    return [name for item in items for name in heard_tokens(item)]
