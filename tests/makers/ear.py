"""An ear: sounds of words, and the real words nearest to a stretch of sound."""

from __future__ import annotations

import hashlib
import math
import os
import tempfile
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist

WORDS_PER_LANGUAGE = 30_000
RARITY = 0.012  # added for each doubling of a word's rank beyond the thousandth

# Classes of the joint IPA inventory and of the program's set alike: what is heard for what.
_CLASSES = str.maketrans({
    **dict.fromkeys("iɪyj", "i"), **dict.fromkeys("eɛøœəÈẼ@", "e"), **dict.fromkeys("aɑæʌÃ", "a"),
    **dict.fromkeys("oɔuʊwÕ", "o"), **dict.fromkeys("pb", "p"), **dict.fromkeys("tdθð", "t"),
    **dict.fromkeys("kg", "k"),
    **dict.fromkeys("fv", "f"), **dict.fromkeys("sz", "s"), **dict.fromkeys("ʃʒ", "ʃ"),
    **dict.fromkeys("mnŋɲN", "n"),
    **dict.fromkeys("lɹr", "l"), "ɥ": "i", "h": None,
})  # fmt: skip
_BAG = "ieaoptkfsʃnl"
POOL = 300


class Ear:
    """Sounds by one source and an index of common real words by those sounds.

    Parameters
    ----------
    name : str
        Names the index on disk.
    phones : callable
        ``(word, lang, known_only) -> str``, one character a phone.
    """

    def __init__(self, name: str, phones: Callable[[str, str, bool], str]) -> None:
        self.name = name
        self._phones = phones
        self._index: dict[str, _Index] = {}

    def phones(self, words: list[str], lang: str) -> str:
        """Phones of words run together."""
        return "".join(self._phones(word, lang, False) for word in words)

    def nearest(self, phones: str, lang: str, count: int = 25) -> list[tuple[float, str]]:
        """The nearest real words of ``lang``: pairs of distance (0 same and common, 1 unrelated) and word."""
        if lang not in self._index:
            self._index[lang] = _Index(_load_index(self.name, self._phones, lang))
        return self._index[lang].nearest(phones, count)


class _Index:
    """Words and their phones, by number of phones; the entries come most common word first."""

    def __init__(self, entries: list[tuple[str, str]]) -> None:
        rank = {word: place for place, (word, _) in enumerate(entries)}
        entries = sorted(entries, key=lambda entry: len(entry[1]))
        self._rarity = [RARITY * math.log2(1 + rank[word] / 1000) for word, _ in entries]
        self._words = [word for word, _ in entries]
        self._fine = [phones for _, phones in entries]
        self._coarse = [phones.translate(_CLASSES) for _, phones in entries]
        self._lengths = np.array([len(phones) for _, phones in entries])
        self._bags = np.array([_bag(phones) for phones in self._coarse], dtype=np.int8).reshape(len(entries), -1)
        self.nearest = lru_cache(maxsize=50_000)(self._nearest)

    def _nearest(self, phones: str, count: int) -> list[tuple[float, str]]:
        spare = 1 + len(phones) // 3
        first, last = np.searchsorted(self._lengths, (len(phones) - spare, len(phones) + spare + 1))
        if first == last:
            return []
        wanted = phones.translate(_CLASSES)
        unlike = np.abs(self._bags[first:last] - np.array(_bag(wanted), dtype=np.int8)).sum(axis=1)
        pool = first + np.argsort(unlike, kind="stable")[:POOL]  # few phones in common: no need to align
        coarse = cdist([wanted], [self._coarse[i] for i in pool], scorer=Levenshtein.normalized_distance)[0]
        fine = cdist([phones], [self._fine[i] for i in pool], scorer=Levenshtein.normalized_distance)[0]
        mixed = 0.65 * coarse.astype(float) + 0.35 * fine
        return sorted((float(d) + self._rarity[i], self._words[i]) for i, d in zip(pool, mixed, strict=True))[:count]


def _bag(coarse: str) -> list[int]:
    """How many phones of each class."""
    return [coarse.count(phone) for phone in _BAG]


def cache_folder() -> Path:
    """Where indexes are kept between runs: ``OTOCHRON_TEST_CACHE`` or the system's temporary folder."""
    return Path(os.environ.get("OTOCHRON_TEST_CACHE") or Path(tempfile.gettempdir()) / "otochron-makers")


def _load_index(name: str, phones: Callable[[str, str, bool], str], lang: str) -> list[tuple[str, str]]:
    """Common words with their phones, from the cache or made anew."""
    from wordfreq import top_n_list

    words = [w for w in top_n_list(lang, WORDS_PER_LANGUAGE) if w.isalpha() and (len(w) > 1 or w in "aiày")]
    probe = "|".join(words) + "|".join(phones(w, lang, True) for w in words[:300])
    path = cache_folder() / f"{name}-{lang}-{hashlib.sha256(probe.encode()).hexdigest()[:12]}.tsv"
    if not path.exists():
        lines = [f"{w}\t{p}" for w in words if (p := phones(w, lang, True))]
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(f".{os.getpid()}")
        part.write_text("\n".join(lines), encoding="utf-8")
        part.replace(path)
    rows = (line.split("\t") for line in path.read_text(encoding="utf-8").splitlines())
    return [(word, sounds) for word, sounds in rows]
