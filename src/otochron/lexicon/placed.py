"""Where each token of a stream stands: made once per stream, shared by the many look-ups of one recording."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from typing import Any, Final

from otochron.lexicon.forms import token
from otochron.text.normal import fold
from otochron.text.stream import Word, but_for_languages, forget_older

_KEPT: Final = 2


class Placed:
    """The tokens of a stream, and the words at which each stands."""

    def __init__(self, words: Sequence[Word]) -> None:
        self.words = words
        self.names = [token(word.text) for word in words]
        self.bare: list[str | None] = [
            None if word.key.isascii() else fold(name) for word, name in zip(words, self.names, strict=True)
        ]
        """The token without accents, where the word has some: a form may be listed so."""
        self.marks = [word.mark for word in words]
        self.walks: dict[object, Any] = {}
        """What each finder found here."""
        self.by_name: dict[str, list[int]] = {}
        self.by_bare: dict[str, list[int]] = {}
        for n, name in enumerate(self.names):
            self.by_name.setdefault(name, []).append(n)
        for n, plain in enumerate(self.bare):
            if plain is not None:
                self.by_bare.setdefault(plain, []).append(n)


_made: OrderedDict[int, Placed] = OrderedDict()


def placed(words: Sequence[Word]) -> Placed:
    """Give the tokens of a stream; kept for streams that cannot change, one for all that differ in languages alone."""
    words = but_for_languages(words)
    if not isinstance(words, tuple):
        return Placed(words)
    found = _made.get(id(words))
    if found is None or found.words is not words:
        found = _made[id(words)] = Placed(words)
        while len(_made) > _KEPT:
            _made.popitem(last=False)
    return found


def forget() -> None:
    """Let go of what was found in streams: in a recording of four hours that is 20 MB."""
    _made.clear()
    forget_older()
