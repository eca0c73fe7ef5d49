"""Which language each word is in: evidence per word and per switch, decoded over the whole stream.

A linear chain with two states, English and French. Each word has named evidence, positive for French; each gap
has named evidence for a change of language. The weights of both are fitted (``lexicons/weights/language.json``).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final

from otochron.model import Lang
from otochron.text.frequencies import letter_ratio, word_ratio
from otochron.text.stream import Word

Evidence = dict[str, float]

_RATIO_LIMIT: Final = 8.0
_LETTER_LIMIT: Final = 10.0
_SCALE: Final = 5.0
_UNSURE: Final = 0.6
_ELIDED: Final = re.compile(r"^(?:[ldjmtscn]|qu|jusqu|lorsqu|puisqu|quoiqu|quelqu|presqu)'$")
_CONTRACTED: Final = re.compile(r"^[a-z]+'(?:t|s|m|d|re|ve|ll)$")
_ROUNDS: Final = 3
_LONG_PAUSE_MS: Final = 400


@dataclass(frozen=True, slots=True)
class Known:
    """What the word lists say of a word: how many words long the form is of each language that covers it."""

    en: int = 0
    fr: int = 0
    opener_en: bool = False
    opener_fr: bool = False
    filler: bool = False


Marks = list[tuple[str, float]]
"""Evidence as pairs, each name once: quicker to make and to weigh than a mapping."""


def word_evidence(stream: Sequence[Word], n: int, known: Known, *, listed: bool = True) -> Evidence:
    """Give the evidence of word ``n``, positive for French; not ``listed``: as if no general list held it."""
    return dict(word_marks(stream, n, known, listed=listed))


def word_marks(stream: Sequence[Word], n: int, known: Known, *, listed: bool = True) -> Marks:
    """Give the same as pairs."""
    name = stream[n].key
    before, after = _key(stream, n - 1), _key(stream, n + 1)
    found: Marks = [(f"word={name}", 1.0), (f"pair={before} {name}", 1.0), (f"pair with={name} {after}", 1.0)]
    if not name[0].isalpha():
        return found
    if name[-1] == "'" and _ELIDED.match(name):
        return [*found, ("elided", 1.0)]
    if "'" in name and _CONTRACTED.match(name):
        return [*found, ("contracted", 1.0)]
    if not name.isascii():
        found.append(("accent", 1.0))
    ratio = None
    if listed:
        ratio = _joined_ratio(stream, n)
        ratio = word_ratio(name) if ratio is None else ratio
    own = _letters_evidence(name) if ratio is None else _ratio_evidence(ratio, known)
    found += own
    if abs(own[0][1] if own[0][0] == "ratio" else 0.0) < _UNSURE:
        # Between a clear English and a clear French word, an unsure one leans on both.
        for side, other in (("before", before), ("after", after)):
            share = _limited(word_ratio(other) or 0.0, _RATIO_LIMIT) / _SCALE
            found.append((f"ratio {side} an unsure word", share))
    return found + _form_evidence(known)


def _letters_evidence(name: str) -> Marks:
    return [("letters", _limited(letter_ratio(name), _LETTER_LIMIT) / _SCALE), ("unknown", 1.0)]


def _ratio_evidence(ratio: float, known: Known) -> Marks:
    """Give the general ratio; a word of both trade languages, or a filler, tells less."""
    ratio = _limited(ratio, _RATIO_LIMIT) / _SCALE
    found = [("ratio", ratio)]
    if known.en and known.fr:
        found.append(("ratio of a shared word", ratio))
    if known.filler:
        found.append(("ratio of a filler", ratio))
    return found


def _form_evidence(known: Known) -> Marks:
    if known.en == known.fr:
        return []
    sign = 1.0 if known.fr > known.en else -1.0
    if known.en and known.fr:
        return [("longer form", sign)]
    return [("form", sign), ("long form", sign)] if max(known.en, known.fr) > 1 else [("form", sign)]


def _joined_ratio(stream: Sequence[Word], n: int) -> float | None:
    """Ratio of a hyphenated word as one word, where the lists know it: a start-up is said in both languages."""
    for first in (n - 1, n):
        if first >= 0 and first + 1 < len(stream) and stream[first + 1].glued:
            one, two = stream[first].key, stream[first + 1].key
            if one.isalpha() and two.isalpha():
                return word_ratio(one + two)
    return None


def _key(stream: Sequence[Word], n: int) -> str:
    return stream[n].key if 0 <= n < len(stream) else ""


def _limited(value: float, limit: float) -> float:
    return max(-limit, min(limit, value))


def switch_evidence(before: Word, word: Word, known_before: Known, known: Known, to: Lang) -> Evidence:
    """Give the evidence for a change to the language ``to`` between two words."""
    opens = known.opener_en if to == "en" else known.opener_fr
    return dict.fromkeys(switch_marks(before, word, known_before, opens=opens), 1.0)


def switch_marks(before: Word, word: Word, known_before: Known, *, opens: bool) -> list[str]:
    """Give the names of that evidence; ``opens``: the word is an opener of the language changed to."""
    found = ["switch", f"switch after={before.key}", f"switch at={word.key}"]
    if word.glued:
        found.append("switch inside a word")
    if opens:
        found.append("switch at an opener")
    if known_before.filler:
        found.append("switch after a filler")
    if before.mark:
        found.append("switch at a mark")
    if word.start_ms - before.end_ms >= _LONG_PAUSE_MS:
        found.append("switch at a pause")
    return found


def score(marks: Iterable[tuple[str, float]], weights: Mapping[str, float]) -> float:
    """Give the weighted sum of evidence."""
    return sum([weights[name] * value for name, value in marks if name in weights])


def switch_rate(found: Sequence[object]) -> float:
    """Give the log of how often the language changes, against once in ten words.

    Speakers differ: one changes three times a sentence, another says one borrowed word an hour.
    """
    changes = sum(a != b for a, b in pairwise(found))
    return math.log(10 * (changes + 2) / (len(found) + 20))


def settle_fillers(found: Sequence[Lang], fillers: Sequence[bool], given: Sequence[Lang | None]) -> list[Lang]:
    """Give fillers that stand alone among words of one language that language.

    >>> settle_fillers(["fr", "en", "fr"], [False, True, False], [None] * 3)
    ['fr', 'fr', 'fr']
    """
    settled = list(found)
    place = 0
    for lang, run in groupby(found):
        first, place = place, place + len(list(run))
        alone = first > 0 and place < len(found) and all(fillers[first:place]) and not any(given[first:place])
        if alone and settled[first - 1] != lang:
            settled[first:place] = [settled[first - 1]] * (place - first)
    return settled


def decode_adapted(
    french: Sequence[float],
    to_en: Sequence[float],
    to_fr: Sequence[float],
    given: Sequence[Lang | None],
    rate_weight: float,
) -> list[Lang]:
    """Decode as often as the rate of changes that was found moves the cost of a change, at most three times."""
    found = decode(french, to_en, to_fr, given)
    for _ in range(_ROUNDS):
        more = rate_weight * switch_rate(found)
        again = decode(french, [x + more for x in to_en], [x + more for x in to_fr], given)
        if again == found:
            break
        found = again
    return found


def decode(
    french: Sequence[float], to_en: Sequence[float], to_fr: Sequence[float], given: Sequence[Lang | None]
) -> list[Lang]:
    """Give the most likely language of each word.

    Parameters
    ----------
    french : sequence of float
        Log-odds of French of each word by itself.
    to_en, to_fr : sequence of float
        Score of a change of language before each word; the first is not read.
    given : sequence of Lang or None
        Languages that the input says; they win.
    """
    if not french:
        return []
    barred = -1e9
    en, fr = 0.0, 0.0
    back: list[tuple[bool, bool]] = []
    for n, (value, change_en, change_fr, said) in enumerate(zip(french, to_en, to_fr, given, strict=True)):
        to_en_now, to_fr_now = fr + change_en, en + change_fr
        from_en, from_fr = (to_en_now > en, to_fr_now > fr) if n else (False, False)
        half = value / 2
        en, fr = (to_en_now if from_en else en) - half, (to_fr_now if from_fr else fr) + half
        if said == "fr":
            en += barred
        elif said == "en":
            fr += barred
        back.append((from_en, from_fr))
    found: list[Lang] = []
    here: Lang = "fr" if fr > en else "en"
    for changed_to_en, changed_to_fr in reversed(back):
        found.append(here)
        if here == "en" and changed_to_en:
            here = "fr"
        elif here == "fr" and changed_to_fr:
            here = "en"
    return found[::-1]
