"""How common each word of a language is: the general lists of ``wordfreq``, packed into a few megabytes.

As dictionaries the two lists take 150 MB and half a second. A look-up needs no list of words: a sorted array of
numbers will do, each the hash of a word with its share in the lowest bits. A word with the hash of another (54 bits)
would be taken for it; for a word that is in no list that is a chance of one in fifty thousand million.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Sequence
from itertools import chain
from typing import Final, cast, overload

from otochron.model import Lang
from otochron.text.normal import key

Buckets = Sequence[Sequence[bytes]]

SPELT: Final = 30000
"""How many of the commonest words of each list teach the letters."""
BARE_SHARE: Final = 1e-7
"""Rarer words are not looked for without their accents."""
_STEP: Final = 1023
"""The lowest bits, which hold the number of the bucket."""
_LIGATURES: Final = ("œ".encode(), "æ".encode())
_KEPT: Final = 65536
"""Answers that are remembered before all are forgotten."""


class Shares:
    """The share of each word of a general list, under the key of the word.

    Parameters
    ----------
    buckets : sequence of sequence of bytes
        The words in UTF-8, commonest first: those of bucket *n* have the share 10^(-n/100).

    Attributes
    ----------
    spelt : tuple of str
        The commonest words that are letters alone.
    accented : tuple of (str, float)
        The words that are not rare and hold a letter beyond ASCII, with their shares.
    """

    def __init__(self, buckets: Buckets) -> None:
        import numpy as np

        self._steps = [10 ** (-n / 100) for n in range(len(buckets))]
        words = list(chain.from_iterable(buckets))
        steps = np.repeat(np.arange(len(buckets)), [len(bucket) for bucket in buckets])
        # By their bytes: as strings, two letters may have the hash of one letter of twice the width.
        hashes = np.fromiter(map(hash, words), np.int64, len(words))
        self._packed = array("q", np.sort(hashes & ~_STEP | steps).tobytes())
        spelt: dict[str, None] = {}
        for word in filter(str.isalpha, map(bytes.decode, words)):
            spelt[word] = None
            if len(spelt) == SPELT:
                break
        self.spelt = tuple(spelt)
        # Where a word stands twice in a list, the lower share counts.
        beyond = {word: self._steps[n] for n, bucket in enumerate(buckets) for word in self._beyond(n, bucket)}
        self._joined = {key(word): share for word, share in beyond.items() if "œ" in word or "æ" in word}
        """Words with a ligature, which are looked up with two letters."""
        beyond |= {word: share for word, share in self._joined.items() if word in beyond}
        self.accented = tuple((word, share) for word, share in beyond.items() if share >= BARE_SHARE)
        self._answers: dict[str, float | None] = {}

    def _beyond(self, step: int, bucket: Sequence[bytes]) -> list[str]:
        """Give the words of a bucket with a letter beyond ASCII; of a rare one, only if one has a ligature."""
        together = b"\n".join(bucket)
        if self._steps[step] < BARE_SHARE and not any(ligature in together for ligature in _LIGATURES):
            return []
        return [] if together.isascii() else [word.decode() for word in bucket if not word.isascii()]

    @overload
    def get(self, word: str) -> float | None: ...
    @overload
    def get(self, word: str, default: float) -> float: ...
    def get(self, word: str, default: float | None = None) -> float | None:
        """Give the share of a word, or the default if the list lacks it."""
        try:
            found = self._answers[word]
        except KeyError:
            found = self._look_up(word)
        return default if found is None else found

    def __contains__(self, word: str) -> bool:
        return self.get(word) is not None

    def _look_up(self, word: str) -> float | None:
        found = self._joined.get(word)
        if found is None:
            wanted = hash(word.encode()) & ~_STEP
            place = bisect_right(self._packed, wanted | _STEP) - 1
            if place >= 0 and self._packed[place] & ~_STEP == wanted:
                found = self._steps[self._packed[place] & _STEP]
        if len(self._answers) >= _KEPT:
            self._answers.clear()
        self._answers[word] = found
        return found


def read_buckets(lang: Lang) -> Buckets:
    """Give the words of the large general list of a language by frequency.

    The file is read as it lies beside ``wordfreq``: to import the package costs as much as to read both lists. If
    it does not lie there, the package is asked.
    """
    import gzip
    from importlib.util import find_spec
    from pathlib import Path

    import msgpack

    spec = find_spec("wordfreq")
    path = Path(spec.origin if spec and spec.origin else "").parent / "data" / f"large_{lang}.msgpack.gz"
    if path.is_file():
        header, *buckets = msgpack.unpackb(gzip.decompress(path.read_bytes()), raw=True)
        if header == {b"format": b"cB", b"version": 1}:
            return cast("Buckets", buckets)
    from wordfreq import get_frequency_list

    return [[word.encode() for word in bucket] for bucket in get_frequency_list(lang, "large")]


def listed(lang: Lang) -> dict[str, float]:
    """Give a whole list as a dictionary, commonest first."""
    return {word.decode(): 10 ** (-n / 100) for n, bucket in enumerate(read_buckets(lang)) for word in bucket}
