"""Error makers: what a general recogniser might have heard instead of the words of one term.

``make(words, lang, kind, rng)`` gives the heard words, never the words that went in. ``words`` are the
words of one term as spoken, with the function words beside it if they may be drawn into the error.
Every kind is a pure function of its arguments: the same ``random.Random`` state gives the same words.

Kinds
-----
``near``     one real word for one word (one or more words of the term), nearest by pronunciation; a long
             word with no near neighbour is heard ``apart``
``apart``    real words for fewer words: a word heard as two
``together`` real words for more words: two words heard as one (a single word: as ``near``)
``noise``    a non-word: letters changed the way sounds are confused, no dictionary word
``cut``      spaces set wrongly: a word split, two joined, a border moved; letters kept
``foreign``  nearest real words of the other language

Two families share these kinds. This module's words and sounds come from **gruut** (its lexicons and
its letter-to-sound model) and **wordfreq**: a source that the program does not use for sounds, so that
a test set made with it is not the program's own idea of an error. ``makers.program`` does the same with
the program's sounds, for fitting only.

>>> import random
>>> make(["stapes"], "en", "cut", random.Random(1)) != ["stapes"]
True
"""

from __future__ import annotations

import random
from collections.abc import Callable, Collection, Sequence
from functools import cache

from makers import letters, real
from makers.ear import Ear

KINDS = ("near", "apart", "together", "noise", "cut", "foreign")

_REAL: dict[str, Callable[[Sequence[str], str, random.Random, Ear, Collection[str]], list[str] | None]] = {
    "near": real.near,
    "apart": real.apart,
    "together": real.together,
    "foreign": real.foreign,
}
_EASIER = {"near": ("apart",), "apart": ("near",), "together": ("near", "apart")}


def make(
    words: Sequence[str],
    lang: str,
    kind: str,
    rng: random.Random,
    *,
    ear: Ear | None = None,
    avoid: Collection[str] = (),
) -> list[str]:
    """Heard words in place of ``words``.

    Parameters
    ----------
    words : sequence of str
        Words of one term, in the language ``lang`` ("en" or "fr").
    lang : str
        Language that is spoken.
    kind : str
        One of :data:`KINDS`. If a kind cannot work on these words (no real word is near enough), the
        next easier one is used; ``noise`` always works.
    rng : random.Random
        The only source of chance.
    ear : Ear, optional
        Whose sounds; gruut's unless given.
    avoid : collection of str
        Lower-case words that must not be heard (other terms, say).

    Returns
    -------
    list of str
        At least one word, not the words given.
    """
    if kind not in KINDS:
        raise ValueError(f"unknown kind of error {kind!r}, expected one of {', '.join(KINDS)}")
    words = [word.lower() for word in words]
    ear = ear or gruut_ear()
    for way in (kind, *_EASIER.get(kind, ())):
        if way == "cut":
            heard = letters.cut(words, rng)
        else:
            heard = _REAL[way](words, lang, rng, ear, avoid) if way in _REAL else None
        if heard and not same(heard, words):
            return heard
    return letters.noise(words, lang, rng, ear)


def same(heard: Sequence[str], words: Sequence[str]) -> bool:
    """Whether two word sequences are the same but for case."""
    return [word.lower() for word in heard] == [word.lower() for word in words]


@cache
def gruut_ear() -> Ear:
    """The independent ear; raises ImportError where gruut or its French data are missing."""
    from makers.gruut_sounds import gruut_phones

    return Ear("gruut", gruut_phones)
