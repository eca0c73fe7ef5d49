"""What is never a repair: a term that was heard right, or another form of the same word."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from otochron.lexicon import Lexicon
from otochron.lexicon.forms import token
from otochron.stages.repair.context import Context
from otochron.stages.repair.near import Near
from otochron.stages.repair.place import zipf
from otochron.stages.repair.windows import protected
from otochron.text.normal import fold

_STEM_LETTERS: Final = 4
_SHORTEST_STEM: Final = 3


def blocked(candidate: Near, context: Context) -> bool:
    """Tell whether a candidate must not be looked at further."""
    if _glued(candidate, context):
        return False
    names = set(candidate.target.tokens)
    seen: set[int] = set()
    stream = context.stream[candidate.first : candidate.last]
    rest = [word.key for word in stream if token(word.text) not in names]
    function = protected(context.lexicon, "function")
    only_function = all(word in function for word in rest)
    for n in range(candidate.first, candidate.last):
        hit = context.inside[n]
        if hit is None or hit.first in seen:
            continue
        seen.add(hit.first)
        said = [token(word.text) for word in context.stream[hit.first : hit.last]]
        alone = hit.first == candidate.first and hit.last == candidate.last
        whole = candidate.first <= hit.first and hit.last <= candidate.last
        if whole and (only_function or (alone and set(hit.concepts) & set(candidate.target.concepts))):
            return True
        if context.lexicon[hit.concepts[0]].kind == "action" and hit.last - hit.first == 1:
            continue
        if not names.issuperset(said) and (not whole or len(said) > 1):
            return True
    return _only_inflected(candidate, context)


def _glued(candidate: Near, context: Context) -> bool:
    """Tell whether one word, that no list knows, is the very letters of a term of several words."""
    heard = context.stream[candidate.first].key
    alone = candidate.last - candidate.first == 1
    return candidate.letters and alone and " " in candidate.target.text and not zipf(heard)


def _only_inflected(candidate: Near, context: Context) -> bool:
    """Tell whether heard and meant are forms of the same words."""
    function = protected(context.lexicon, "function")
    heard = [word.key for word in context.stream[candidate.first : candidate.last] if word.text[-1] not in "'’ʼ"]
    meant = list(candidate.target.tokens)
    for one, two in ((heard, meant), (_content(heard, function), _content(meant, function))):
        if (
            one
            and len(one) == len(two)
            and all(same_word(a, b, context.lexicon) for a, b in zip(one, two, strict=True))
        ):
            return True
    return fold("".join(heard)) == fold("".join(meant)) and len(heard) == len(meant)


def _content(said: Sequence[str], function: frozenset[str]) -> list[str]:
    return [word for word in said if word not in function]


def same_word(one: str, two: str, lexicon: Lexicon) -> bool:
    """Tell whether two words are the same but for accents and a usual ending."""
    one, two = fold(one), fold(two)
    if one == two or _prefixed(one, two, lexicon):
        return True
    common = next((n for n, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), min(len(one), len(two)))
    endings = _endings(lexicon)
    for n in range(common, _SHORTEST_STEM - 1, -1):
        tails = {one[n:], two[n:]}
        if tails <= endings and (n >= _STEM_LETTERS or "" not in tails):
            return True
    return False


def _prefixed(one: str, two: str, lexicon: Lexicon) -> bool:
    """Tell whether a word is the other with a usual prefix before it ("reperforation")."""
    short, long = sorted((one, two), key=len)
    before = long.removesuffix(short)
    return len(short) >= _STEM_LETTERS and before != long and before in _prefixes(lexicon)


@lru_cache(maxsize=4)
def _prefixes(lexicon: Lexicon) -> frozenset[str]:
    return frozenset(fold(prefix) for prefix in protected(lexicon, "prefix"))


@lru_cache(maxsize=4)
def _endings(lexicon: Lexicon) -> frozenset[str]:
    return frozenset(fold(ending) for ending in protected(lexicon, "ending")) | {""}
