"""Errors of spelling and spacing: plausible non-words, wrong splits and joins."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence

from makers.ear import Ear

# What is written for what, both ways; chosen because the two sound alike or nearly so.
_CONFUSED = {
    "en": (
        "ph f", "c k", "c s", "ck k", "y i", "ae e", "oe e", "ee ea", "s z", "t d", "p b", "k g", "f v",
        "m n", "th t", "th s",
        "ch k", "sh ch", "er or", "er a", "us is", "us ous", "um am", "um em", "o a", "o u", "e i",
        "a e", "oi oy", "ai ay",
        "l r", "tion sion", "x ks", "qu kw", "our or", "al el", "ea a", "ou oo", "r rr", "l ll", "n nn",
        "mp m", "ct t", "ous us",
    ),
    "fr": (
        "ph f", "c k", "c s", "qu k", "y i", "é ai", "é er", "è ai", "au o", "eau o", "an en", "in ain",
        "in en", "on an", "un in",
        "s z", "s ss", "t d", "p b", "c g", "f v", "m n", "th t", "ch k", "ch j", "ou u", "eu e", "eu u",
        "oi oa", "ill y", "gn ni",
        "l r", "tion sion", "x cs", "o a", "e i", "a o", "l ll", "r rr", "é e", "â a", "ê è", "ym in",
        "om on", "ct t", "us usse",
    ),
}  # fmt: skip
_V, _C = "aeiouyàâéèêëîïôùûœ", "bcdfgjklmnpqrstvxz"
_SYLLABLE = re.compile(f"(?<=[{_V}])(?=[{_C}]h?[{_V}])|(?<=[{_V}][{_C}])(?=[{_C}]h?[{_V}])")

# Phones of both inventories (see gruut_sounds and the program's) as someone would write them down.
_SPELT = {
    "en": {
        "i": "i ee", "ɪ": "i", "e": "e", "ɛ": "e", "a": "a", "ɑ": "o a", "æ": "a", "ʌ": "u",
        "ə": "a e o", "@": "a e o", "ɔ": "o au",
        "o": "o", "ʊ": "u", "u": "oo u", "y": "u", "p": "p", "b": "b", "t": "t", "d": "d", "k": "k c",
        "g": "g", "f": "f", "v": "v",
        "s": "s", "z": "z s", "ʃ": "sh", "ʒ": "s j", "θ": "th", "ð": "th", "m": "m", "n": "n", "ŋ": "ng",
        "l": "l", "ɹ": "r", "r": "r",
        "j": "y", "w": "w", "h": "h", "ɲ": "ny", "ɥ": "w", "Ã": "on an", "Ẽ": "an", "Õ": "on", "N": "n",
        "ø": "u", "œ": "u",
    },
    "fr": {
        "i": "i y", "ɪ": "i", "e": "é", "ɛ": "è ai", "a": "a", "ɑ": "a", "æ": "a", "ʌ": "a", "ə": "e",
        "@": "eu", "ɔ": "o", "o": "o au",
        "ʊ": "ou", "u": "ou", "y": "u", "p": "p", "b": "b", "t": "t", "d": "d", "k": "c qu", "g": "gu",
        "f": "f", "v": "v", "s": "s",
        "z": "z", "ʃ": "ch", "ʒ": "j", "θ": "s", "ð": "z", "m": "m", "n": "n", "ŋ": "ng", "l": "l",
        "ɹ": "r", "r": "r", "j": "y",
        "w": "ou", "h": "", "ɲ": "gn", "ɥ": "u", "Ã": "an en", "Ẽ": "in ain", "Õ": "on", "N": "n",
        "ø": "eu", "œ": "eu",
    },
}  # fmt: skip
_NEAR_PHONES = (
    "pb",
    "td",
    "kg",
    "fv",
    "sz",
    "ʃʒ",
    "mn",
    "tθ",
    "sθ",
    "ie",
    "iɪ",
    "eɛ",
    "aɑ",
    "oɔ",
    "uʊ",
    "əa",
    "əɛ",
    "lɹ",
    "ÃÕ",
    "yi",
    "øə",
    "@e",
    "bv",
    "nl",
)


def noise(words: Sequence[str], lang: str, rng: random.Random, ear: Ear) -> list[str]:
    """One word (at times two) of the term turned into a word that no word list holds.

    Half the time letters are confused, half the time the sounds are confused and written down anew.
    """
    places = [i for i, word in enumerate(words) if len(word) > 3] or list(range(len(words)))
    chosen = {rng.choices(places, [len(words[i]) for i in places])[0]}
    chosen |= {i for i in places if rng.random() < 0.2}
    return [_non_word(word, lang, rng, ear) if i in chosen else word for i, word in enumerate(words)]


def _non_word(word: str, lang: str, rng: random.Random, ear: Ear) -> str:
    """Change letters, more and more, until the result is no word of either language."""
    from wordfreq import zipf_frequency

    changes = 1 if len(word) < 7 else rng.choice((1, 1, 2, 3))
    by_sound = rng.random() < 0.5
    heard = word
    for _ in range(60):
        heard = _respell(ear.phones([word], lang), lang, rng) if by_sound else word
        for _ in range(0 if by_sound else changes):
            heard = _change(heard, lang, rng)
        known = zipf_frequency(heard, "en") or zipf_frequency(heard, "fr")
        if heard != word and len(heard) > 2 and not known:
            return heard
        changes = min(changes + 1, 3) if rng.random() < 0.15 else changes
    return heard if heard != word else word + word[-1]


def _respell(phones: str, lang: str, rng: random.Random) -> str:
    """Confuse a phone or two and write the sounds down."""
    heard = list(phones)
    for _ in range(1 + (len(heard) > 8)):
        place = rng.randrange(len(heard))
        others = [pair.replace(heard[place], "") for pair in _NEAR_PHONES if heard[place] in pair]
        heard[place] = rng.choice(others) if others else heard[place]
    return "".join(rng.choice(_SPELT[lang].get(phone, "").split() or [""]) for phone in heard)


def _change(word: str, lang: str, rng: random.Random) -> str:
    """One confusion of letters, or a letter lost or doubled."""
    pairs = [tuple(pair.split()) for pair in _CONFUSED[lang]]
    fits = [(a, b) for pair in pairs for a, b in (pair, pair[::-1]) if a in word]
    if fits and rng.random() < 0.8:
        old, new = rng.choice(fits)
        place = rng.choice([hit.start() for hit in re.finditer(re.escape(old), word)])
        return word[:place] + new + word[place + len(old) :]
    place = rng.randrange(len(word))
    if rng.random() < 0.6 and len(word) > 4:
        return word[:place] + word[place + 1 :]
    return word[:place] + word[place] + word[place:]


def cut(words: Sequence[str], rng: random.Random) -> list[str] | None:
    """Split a word, join two, or move the border between two; letters stay."""
    ways = ["split"] + (["join", "move", "join"] if len(words) > 1 else [])
    rng.shuffle(ways)
    for way in ways:
        if way == "split" and (heard := _split(words, rng)):
            return heard
        if way == "join":
            place = rng.randrange(len(words) - 1)
            return [*words[:place], words[place] + words[place + 1], *words[place + 2 :]]
        if way == "move" and (heard := _move(words, rng)):
            return heard
    return None


def _split(words: Sequence[str], rng: random.Random) -> list[str] | None:
    """A space inside a word, at a border of syllables."""
    places = [(i, hit.start()) for i, word in enumerate(words) for hit in _SYLLABLE.finditer(word)]
    places = [(i, at) for i, at in places if 1 < at < len(words[i]) - 1]
    if not places:
        places = [(i, len(word) // 2) for i, word in enumerate(words) if len(word) > 4]
    if not places:
        return None
    i, at = rng.choices(places, [_wordlike(words[i], at) for i, at in places])[0]
    return [*words[:i], words[i][:at], words[i][at:], *words[i + 1 :]]


def _wordlike(word: str, at: int) -> int:
    """Weight of a split: parts that are words are what a recogniser writes."""
    from wordfreq import zipf_frequency

    parts = (word[:at], word[at:])
    return 1 + 3 * sum(zipf_frequency(part, lang) > 2.5 for part in parts for lang in ("en", "fr"))


def _move(words: Sequence[str], rng: random.Random) -> list[str] | None:
    """The last letter of a word goes to the next, or the first to the one before."""
    place = rng.randrange(len(words) - 1)
    left, right = words[place : place + 2]
    if rng.random() < 0.5 and len(left) > 2:
        left, right = left[:-1], left[-1] + right
    elif len(right) > 3:
        left, right = left + right[0], right[1:]
    else:
        return None
    return [*words[:place], left, right, *words[place + 2 :]]
