"""Which language each word is in: evidence per word and per switch, decoded over the whole stream.

A linear chain with two states, English and French. Each word has named evidence, positive for French; each gap
has named evidence for a change of language. The weights of both are fitted (``lexicons/weights/language.json``).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
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


def word_evidence(stream: Sequence[Word], n: int, known: Known, *, listed: bool = True) -> Evidence:
    """Give the evidence of word ``n``, positive for French; not ``listed``: as if no general list held it."""
    name = stream[n].key
    before, after = _key(stream, n - 1), _key(stream, n + 1)
    found: Evidence = {f"word={name}": 1.0, f"pair={before} {name}": 1.0, f"pair with={name} {after}": 1.0}
    if name[0].isdigit() or not name[0].isalpha():
        return found
    if _ELIDED.match(name):
        return found | {"elided": 1.0}
    if _CONTRACTED.match(name):
        return found | {"contracted": 1.0}
    if not name.isascii():
        found["accent"] = 1.0
    if listed:
        ratio = _joined_ratio(stream, n)
        ratio = word_ratio(name) if ratio is None else ratio
    else:
        ratio = None
    found |= _letters_evidence(name) if ratio is None else _ratio_evidence(ratio, known)
    if abs(found.get("ratio", 0.0)) < _UNSURE:
        # Between a clear English and a clear French word, an unsure one leans on both.
        for side, other in (("before", before), ("after", after)):
            found[f"ratio {side} an unsure word"] = _limited(word_ratio(other) or 0.0, _RATIO_LIMIT) / _SCALE
    return found | _form_evidence(known)


def _letters_evidence(name: str) -> Evidence:
    return {"letters": _limited(letter_ratio(name), _LETTER_LIMIT) / _SCALE, "unknown": 1.0}


def _ratio_evidence(ratio: float, known: Known) -> Evidence:
    """Give the general ratio; a word of both trade languages, or a filler, tells less."""
    ratio = _limited(ratio, _RATIO_LIMIT) / _SCALE
    found = {"ratio": ratio}
    if known.en and known.fr:
        found["ratio of a shared word"] = ratio
    if known.filler:
        found["ratio of a filler"] = ratio
    return found


def _form_evidence(known: Known) -> Evidence:
    if known.en == known.fr:
        return {}
    sign = 1.0 if known.fr > known.en else -1.0
    if known.en and known.fr:
        return {"longer form": sign}
    return {"form": sign} | ({"long form": sign} if max(known.en, known.fr) > 1 else {})


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
    found: Evidence = {"switch": 1.0, f"switch after={before.key}": 1.0, f"switch at={word.key}": 1.0}
    if word.glued:
        found["switch inside a word"] = 1.0
    if known.opener_en if to == "en" else known.opener_fr:
        found["switch at an opener"] = 1.0
    if known_before.filler:
        found["switch after a filler"] = 1.0
    if before.mark:
        found["switch at a mark"] = 1.0
    if word.start_ms - before.end_ms >= _LONG_PAUSE_MS:
        found["switch at a pause"] = 1.0
    return found


def score(evidence: Evidence, weights: Mapping[str, float]) -> float:
    """Give the weighted sum of evidence."""
    return sum(weights.get(name, 0.0) * value for name, value in evidence.items())


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
    for n, value in enumerate(french):
        from_en, from_fr = (fr + to_en[n] > en, en + to_fr[n] > fr) if n else (False, False)
        en, fr = (
            (fr + to_en[n] if from_en else en) - value / 2 + (barred if given[n] == "fr" else 0.0),
            (en + to_fr[n] if from_fr else fr) + value / 2 + (barred if given[n] == "en" else 0.0),
        )
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
