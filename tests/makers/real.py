"""Real words heard instead of a term's words, by nearness of sound."""

from __future__ import annotations

import math
import random
import unicodedata
from collections.abc import Collection, Sequence

from makers.ear import Ear

FARTHEST = 0.42  # a worse match is not what a recogniser writes: it would rather take more words
SHARPNESS = 0.06
TOLL = 0.03  # for each further word: fewer words are likelier
LONGEST = 9  # phones of one heard word when a stretch is heard as several
FOREIGN = {"en": "fr", "fr": "en"}

Found = list[tuple[float, str]]


def near(words: Sequence[str], lang: str, rng: random.Random, ear: Ear, avoid: Collection[str]) -> list[str] | None:
    """One real word for one; at least one word of the term, mostly the long ones."""
    options = {i: found for i, word in enumerate(words) if (found := _near_words(word, lang, ear, avoid))}
    if not options:
        return None
    places = list(options)
    weights = [len(words[i]) ** 2 for i in places]
    chosen = {rng.choices(places, weights)[0]} | {i for i in places if len(words[i]) > 4 and rng.random() < 0.3}
    return [_pick(options[i], rng) if i in chosen else word for i, word in enumerate(words)]


def apart(words: Sequence[str], lang: str, rng: random.Random, ear: Ear, avoid: Collection[str]) -> list[str] | None:
    """One word heard as two real words, a long one as three or four at times."""
    place = rng.choices(range(len(words)), [len(word) ** 2 for word in words])[0]
    found = _several(ear.phones([words[place]], lang), lang, ear, {*avoid, words[place]})
    if not found:
        return None
    return [*words[:place], *_pick(found, rng).split(), *words[place + 1 :]]


def together(words: Sequence[str], lang: str, rng: random.Random, ear: Ear, avoid: Collection[str]) -> list[str] | None:
    """Two neighbouring words heard as one real word, or with the border elsewhere."""
    if len(words) < 2:
        return None
    place = rng.randrange(len(words) - 1)
    pair = list(words[place : place + 2])
    sounds = ear.phones(pair, lang)
    found = _allowed(ear.nearest(sounds, lang), pair, avoid)
    for d, heard in _several(sounds, lang, ear, avoid):
        parts = heard.split()
        if len(parts) == 2 and not any(_inflected(a, b) for a, b in zip(parts, pair, strict=True)):
            found.append((d, heard))
    if not found:
        return None
    return [*words[:place], *_pick(sorted(found)[:10], rng).split(), *words[place + 2 :]]


def foreign(words: Sequence[str], lang: str, rng: random.Random, ear: Ear, avoid: Collection[str]) -> list[str] | None:
    """The whole stretch in real words of the other language."""
    other, heard = FOREIGN[lang], []
    for word in words:
        sounds = ear.phones([word], lang)
        found = [(d, w) for d, w in ear.nearest(sounds, other) if d <= FARTHEST + 0.08 and w not in avoid]
        found += _several(sounds, other, ear, avoid)
        if not found:
            return None
        heard += _pick(sorted(found)[:10], rng).split()
    return heard


def _near_words(word: str, lang: str, ear: Ear, avoid: Collection[str]) -> Found:
    """Real words that could be heard for one word."""
    return _allowed(ear.nearest(ear.phones([word], lang), lang), [word], avoid)[:10]


def _allowed(found: Found, words: Sequence[str], avoid: Collection[str]) -> Found:
    """Near enough, not avoided, not one of the words or its plain inflection."""
    near_enough = [(d, w) for d, w in found if d <= FARTHEST and w not in avoid]
    return [(d, w) for d, w in near_enough if not any(_inflected(w, word) for word in words)]


def _inflected(one: str, other: str) -> bool:
    """Whether two words are the same but for accents and an ending."""
    one, other = _bare(one), _bare(other)
    stem = next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
    short, long = sorted((one, other), key=len)
    if stem == len(short):
        return long[stem:] in ("", "s", "e", "es", "x", "ed", "d")
    return stem >= 5 and len(long) - stem <= 2


def _bare(word: str) -> str:
    """Without accents."""
    return "".join(c for c in unicodedata.normalize("NFD", word) if not unicodedata.combining(c))


def _several(phones: str, lang: str, ear: Ear, avoid: Collection[str]) -> Found:
    """Two to four real words for a stretch of sound, best first: a beam over the places of the borders."""
    size = len(phones)
    beams: list[list[tuple[float, tuple[str, ...]]]] = [[] for _ in range(size + 1)]
    beams[0] = [(0.0, ())]
    for end in range(2, size + 1):
        reached = []
        for start in range(max(0, end - LONGEST), end - 1):
            if not beams[start] or (start == 0 and end == size):
                continue
            share = (end - start) / size
            for d, word in ear.nearest(phones[start:end], lang, 6)[:4]:
                if word not in avoid:
                    step = d * share + TOLL
                    reached += [(cost + step, (*said, word)) for cost, said in beams[start] if len(said) < 4]
        beams[end] = sorted(reached)[:12]
    return [(cost, " ".join(said)) for cost, said in beams[size] if cost <= FARTHEST + TOLL][:10]


def _pick(found: Found, rng: random.Random) -> str:
    """One of the candidates, near ones far more often."""
    best = found[0][0]
    return rng.choices([w for _, w in found], [math.exp((best - d) / SHARPNESS) for d, _ in found])[0]
