"""Stretches of one to four words that may be a misheard term, and the words that repair never touches."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from otochron.lexicon import Lexicon
from otochron.model import Lang
from otochron.stages.repair.context import Context
from otochron.stages.repair.targets import bare
from otochron.text.frequencies import frequencies
from otochron.text.ngrams import Ngrams
from otochron.text.normal import key
from otochron.text.number_words import is_number
from otochron.text.sounds import phones
from otochron.text.stream import Word

MOST_WORDS: Final = 4
MOST_SHORT_WORDS: Final = 5
SHORT: Final = 4
"""Mean letters of words of which five may be one term."""
SHORTEST_TERM: Final = 5
"""Letters of a term of one word, heard right, that may be wrong in its place; shorter ones sound like too many."""
USUAL: Final = 10
"""Words that the training narrations say so often are not looked at alone."""
FEWEST_PHONES: Final = 3
MOST_PHONES: Final = 28
_TONGUES: Final[tuple[Lang, ...]] = ("en", "fr")
_READ_AS_TAGGED: Final = 1e-7
"""Share in general language; a rarer word may be of the other language."""
_MUCH_RARER: Final = 0.3
"""So may a word that is rarer by this here than there."""


@dataclass(frozen=True, slots=True)
class Window:
    """Words ``first`` to ``last`` (half-open) and how they may sound, the local reading first."""

    first: int
    last: int
    readings: tuple[str, ...]
    letters: str
    usual: bool = False
    """Too few words are strange: only a term of the very same letters or coarse sounds is looked for."""


@lru_cache(maxsize=16)
def protected(lexicon: Lexicon, role: str) -> frozenset[str]:
    """Give the words of the protected entries of a role, of both languages."""
    entries = [e for e in lexicon.of_kind("protected") if e.role == role]
    return frozenset(key(form) for e in entries for form in (*e.en.forms, *e.fr.forms))


def untouchable(stream: Sequence[Word], lexicon: Lexicon) -> list[bool]:
    """Tell which words repair never touches: denials, numbers, units after a number, sides."""
    denials = protected(lexicon, "untouchable")
    barred = [word.key in denials or is_number(word) for word in stream]
    # A side is a side in either language, whatever language the word was taken for.
    for lang in _TONGUES:
        for hit in lexicon.side_finder.find(stream, lang):
            barred[hit.first : hit.last] = [True] * (hit.last - hit.first)
    for hit in lexicon.cue_finder("unit", "unit-sign").find(stream):
        if hit.first and is_number(stream[hit.first - 1]):
            barred[hit.first : hit.last] = [True] * (hit.last - hit.first)
    return barred


def windows(context: Context, ngrams: Ngrams) -> Iterable[Window]:
    """Yield the windows of a recording that hold a word which is not usual in surgical narration."""
    stream, lexicon = context.stream, context.lexicon
    barred = untouchable(stream, lexicon)
    function = protected(lexicon, "function")
    right = protected(lexicon, "word")
    elided = [_elided(word) for word in stream]
    plain = [word.key in function or elided[n] for n, word in enumerate(stream)]
    kept = [
        plain[n] or word.key in right or (context.inside[n] is None and ngrams.seen(word.key) >= USUAL)
        for n, word in enumerate(stream)
    ]
    for first in range(len(stream)):
        said = size = odd = strange = 0
        for last in range(first + 1, len(stream) + 1):
            n = last - 1
            if barred[n] or (n > first and stream[n - 1].mark == "."):
                break
            said += not elided[n]
            size += len(stream[n].key)
            odd += not kept[n]
            strange += not kept[n] and context.inside[n] is None
            if said > MOST_WORDS and (said > MOST_SHORT_WORDS or size > SHORT * said):
                break
            if elided[n] or (said > 2 and 2 * odd < said - 1) or _inside_one(context, first, last):
                continue
            if not odd and all(plain[first:last]):
                continue
            found = _readings(_pieces(stream[first:last]))
            if found:
                letters = bare("".join([w.key for w in stream[first:last]]))
                if said == 1:
                    searched = strange > 0 or (odd > 0 and len(stream[n].key) >= SHORTEST_TERM)
                else:
                    searched = strange >= _strange_words(said, loose=plain[first] or plain[n])
                yield Window(first, last, found, letters, not searched)


def _strange_words(said: int, *, loose: bool) -> int:
    """Give how many words, neither usual nor of a term heard right, make a stretch of several worth a search by sounds.

    Words that were heard right hide no other term; the more words, the more of them must be strange. ``loose``: a
    function word begins or ends it, and the stretch without that word is searched as well.
    """
    return max(1, said - 2) + (loose and said == MOST_WORDS - 1)


def _elided(word: Word) -> bool:
    return word.text[-1] in "'’ʼ"


def _inside_one(context: Context, first: int, last: int) -> bool:
    """Tell whether all words lie in one term, of more than one word, that was heard right.

    A term of one word may be the wrong one in its place; its neighbours decide.
    """
    hit = context.inside[first]
    return hit is not None and hit.last >= last and hit.last - hit.first > 1


def _readings(pieces: Sequence[tuple[str, Lang]]) -> tuple[str, ...]:
    """Give the sounds of words as they were tagged; where one is unknown there, also in the languages that know it."""
    ways = ["".join([_sounds(text, lang) for text, lang in pieces])]
    if any(not _known(text, lang) for text, lang in pieces):
        ways += [
            "".join([_sounds(text, lang if _known(text, lang) else tongue) for text, lang in pieces])
            for tongue in _TONGUES
        ]
    return tuple(dict.fromkeys(way for way in ways if FEWEST_PHONES <= len(way) <= MOST_PHONES))


def _pieces(said: Sequence[Word]) -> list[tuple[str, Lang]]:
    """Give words with their languages, an elided one together with the word that it leans on."""
    found: list[tuple[str, Lang]] = []
    before = ""
    for word in said:
        if _elided(word):
            before += word.key
            continue
        found.append((before + word.key, word.language))
        before = ""
    return found


@lru_cache(maxsize=65536)
def _known(text: str, lang: Lang) -> bool:
    """Tell whether a word is usual enough in a language to be read as a word of it only."""
    word = text.rpartition("'")[2]
    share = frequencies(lang).get(word, 0.0)
    return share >= max(_READ_AS_TAGGED, _MUCH_RARER * frequencies("fr" if lang == "en" else "en").get(word, 0.0))


@lru_cache(maxsize=65536)
def _sounds(text: str, lang: Lang) -> str:
    return phones(text, lang)
