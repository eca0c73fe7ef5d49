"""The second family of makers: the same kinds of error by the program's own sounds. For fitting only.

A test set made with these would measure the program against itself.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Sequence
from functools import cache

from makers import make as make_with
from makers.ear import Ear
from otochron.text.sounds import phones


@cache
def program_ear() -> Ear:
    """Ear with the program's sounds."""
    return Ear("program", lambda word, lang, _known_only: phones(word, lang))  # type: ignore[arg-type]


def make(words: Sequence[str], lang: str, kind: str, rng: random.Random, *, avoid: Collection[str] = ()) -> list[str]:
    """See :func:`makers.make`."""
    return make_with(words, lang, kind, rng, ear=program_ear(), avoid=avoid)
