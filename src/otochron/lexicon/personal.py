"""Find spoken personal data by the words before it: a title, "born on", "file number". Words: the cue lists."""

from __future__ import annotations

from otochron.lexicon.load import Lexicon
from otochron.model import Record, Span
from otochron.text.frequencies import frequencies
from otochron.text.stream import Word, span_of, words


def personal_spans(record: Record, lexicon: Lexicon) -> list[Span]:
    """Give the spans of names, birth dates and numbers that a cue announces; the cue itself is not part.

    A cue's ``values.words`` says how many words may follow; ``values.take`` what they must be: ``name`` takes words
    that are no function word of either language and no trade word, ``rare-name`` only rare ones, ``number`` takes
    numerals and number words.
    """
    stream = words(record)
    numbers = frozenset(f for e in lexicon.cues("personal-number") for f in (*e.en.forms, *e.fr.forms))
    terms = {(mention.line, mention.start) for mention in record.mentions if mention.concept}
    found: list[Span] = []
    for hit in lexicon.cue_finder("personal").find(stream):
        values = lexicon[hit.concepts[0]].values
        most = int(str(values.get("words", 2)))
        take = str(values.get("take", "name"))
        end = hit.last
        while end < len(stream) and end - hit.last < most and _takes(take, stream[end], numbers):
            if (stream[end].line, stream[end].start) in terms:
                break
            end += 1
        if end > hit.last:
            found.append(span_of(stream, hit.last, end))
    return found


def _takes(what: str, word: Word, numbers: frozenset[str]) -> bool:
    if what == "any":
        return word.mark != "."
    if what == "number":
        return any(c.isdigit() for c in word.text) or word.key in numbers
    return _is_name(word, _RARE if what == "rare-name" else _COMMON)


_COMMON = 2e-4
_RARE = 1.6e-5
"""Share of all words from which a word is no name: after a sure title, and after one that also calls the staff."""


def _is_name(word: Word, limit: float) -> bool:
    if not word.text[0].isalpha() or len(word.text) < 2:
        return False
    if word.text[0].isupper():
        return True
    return max(frequencies("en").get(word.key, 0.0), frequencies("fr").get(word.key, 0.0)) < limit
