"""Sounds by gruut (MIT): its phonetic lexicons, and its letter-to-sound models for words they lack.

The IPA is brought to one character a phone, finer than the program's own set (open and close vowels
stay apart, nasal vowels are one phone), in one inventory for both languages.
"""

from __future__ import annotations

import importlib
import re
import sqlite3
from functools import cache
from pathlib import Path

_ONE = {
    "aɪ": "aɪ", "aʊ": "aʊ", "eɪ": "eɪ", "oʊ": "oʊ", "ɔɪ": "ɔɪ", "t͡ʃ": "tʃ", "d͡ʒ": "dʒ", "ɝ": "əɹ", "ɚ": "əɹ",
    "ɑ̃": "Ã", "ɛ̃": "Ẽ", "œ̃": "Ẽ", "ɔ̃": "Õ", "ɡ": "g", "ʁ": "ɹ", "ɾ": "t", "ʔ": "",
}  # fmt: skip
_MARKS = re.compile("[ˈˌː‿|‖]")
_PIECES = re.compile(r"[^\W\d_]+")


@cache
def _source(lang: str) -> tuple[sqlite3.Connection, object]:
    folder = Path(importlib.import_module(f"gruut_lang_{lang}").__file__ or "").parent
    from gruut.g2p import GraphemesToPhonemes

    return sqlite3.connect(folder / "lexicon.db"), GraphemesToPhonemes(folder / "g2p" / "model.crf")


def _one_each(phonemes: list[str]) -> str:
    """One character a phone, without stress and length."""
    bare = (_MARKS.sub("", phoneme) for phoneme in phonemes)
    return "".join(_ONE.get(phoneme, phoneme) for phoneme in bare)


@cache
def gruut_phones(word: str, lang: str, known_only: bool = False) -> str:
    """Phones of one word; empty for a word outside the lexicon if ``known_only``."""
    return "".join(_piece(piece, lang, known_only) for piece in _PIECES.findall(word.lower()))


def _piece(piece: str, lang: str, known_only: bool) -> str:
    lexicon, guess = _source(lang)
    row = lexicon.execute(
        "select phonemes from word_phonemes where word = ? order by pron_order limit 1", (piece,)
    ).fetchone()
    if row:
        return _one_each(row[0].split())
    return "" if known_only else _one_each(list(guess(piece)))  # type: ignore[operator]
