"""The words of a segment: each timed word found in the segment's text, in order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from otochron.readers.clocks import check_order, read_seconds
from otochron.readers.pieces import Timed, settle

_REACH = 60
"""How far ahead, in characters, a word is looked for when words before it were not listed."""
_AROUND = " .,;:!?…\"“”«»()[]'’-"


def read_words(text: str, words: Sequence[dict[str, Any]], where: str) -> tuple[str, list[Timed]]:
    """Give the clean text and its timed words.

    A word stands next to the one before it, or whole within reach; leading spaces, punctuation around it and
    case are forgiven. A word that is not found, or has no start, has no time of its own.

    Raises
    ------
    ReadError
        If a time is no time, or a word ends before it starts.
    """
    text, _ = settle(text)
    timed: list[Timed] = []
    place = 0
    for n, word in enumerate(words, start=1):
        found = _find(text, settle(word_text(word))[0], place)
        if found is None:
            continue
        place = found[1]
        start, end = word.get("start"), word.get("end")
        if start is None:
            continue
        start_ms = read_seconds(start, f"{where}, word {n}")
        end_ms = start_ms if end is None else read_seconds(end, f"{where}, word {n}")
        check_order(start_ms, end_ms, f"{where}, word {n}")
        timed.append((*found, start_ms, end_ms, _probability(word)))
    return text, timed


def word_text(word: dict[str, Any]) -> str:
    """Give the letters of a word."""
    value = word.get("word", word.get("text"))
    return value if isinstance(value, str) else ""


def _find(text: str, word: str, place: int) -> tuple[int, int] | None:
    for form in dict.fromkeys((word, word.strip(_AROUND))):
        if not form:
            continue
        window = text[place : place + _REACH + len(form)]
        low, key = window.lower(), form.lower()
        if len(low) != len(window):  # some capitals are longer as small letters: places would shift
            low, key = window, form
        at = low.find(key)
        while at >= 0:
            start, stop = place + at, place + at + len(key)
            skips = any(char.isalnum() for char in text[place:start])
            if not skips or not (text[start - 1].isalnum() or text[stop : stop + 1].isalnum()):
                return start, stop
            at = low.find(key, at + 1)
    return None


def _probability(word: dict[str, Any]) -> float | None:
    """Give the recogniser's probability, if it is one."""
    value = word.get("p", word.get("probability"))
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        return None
    return float(value)
