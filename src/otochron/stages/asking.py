"""What is asked of the staff, told from the words: named evidence of a short stretch.

A stretch is scored as the sum of what stands at its head, inside it and at its tail, and of a few signs of the whole.
Sums over words run from the start of the recording, so that any stretch is scored in constant time.
Weights: ``lexicons/weights/clauses.json``, ``asking``; fitted by ``tests/fit/fit_requests.py``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Final

from otochron.text.segments import Seen
from otochron.text.stream import Word

Weights = Mapping[str, float]
Waits = Sequence[bool | None]

LONGEST: Final = 16
"""Longer requests are rare, and hold a shorter one."""
ASKED: Final = frozenset({"instrument", "implant", "graft", "material", "packing", "closure", "thing"})
"""Kinds of what is asked for by its bare name."""
_POLITE: Final = frozenset({"courtesy", "thanks", "asking"})
_SIZES: Final = (1, 2, 3, 5, 8, 11)
_LONG: Final = _SIZES[-1] + 1
_SIZE: Final = tuple(sum(length > size for size in _SIZES) for length in range(_LONG + 1))
_WAIT_MS: Final = 2000
_IMPERATIVE: Final = "ez"
"""Ending of the French imperative said to more than one, or politely."""
_NO_CUT: Final = -4.0
"""No request begins or ends at a gap that scores less: inside a term, between an article and its noun."""


def waits_after(stream: Sequence[Word], *, known: bool) -> Waits:
    """Tell after which words there is a long silence: who asks waits. ``None`` where no times are known."""
    if not known:
        return [None] * len(stream)
    return [*(after.start_ms - word.end_ms >= _WAIT_MS for word, after in pairwise(stream)), True]


def head_evidence(stream: Sequence[Word], seen: Sequence[Seen], n: int) -> list[str]:
    """Give the evidence of a request that begins at word ``n``, from its first word and the word before."""
    word, what = stream[n], seen[n]
    found = ["first=" + word.key, "before=" + (_sort(seen[n - 1]) if n else "")]
    found += ["first cue=" + role for role in (*what.cues, *what.grammar)]
    if what.kind:
        found.append("first kind=" + what.kind)
    if word.key.endswith(_IMPERATIVE):
        found.append("first ends like an imperative")
    return found


def tail_evidence(stream: Sequence[Word], seen: Sequence[Seen], n: int, waits: Waits) -> list[str]:
    """Give the evidence of a request whose last word is ``n``, from that word and the word after."""
    found = ["last=" + stream[n].key]
    if (wait := waits[n]) is not None:
        found.append("wait" if wait else "no wait")
    if n + 1 == len(stream):
        return [*found, "next="]
    found.append("next=" + _sort(seen[n + 1]))
    return found + ["last cue=" + role for role in seen[n + 1].ended]


def word_evidence(stream: Sequence[Word], seen: Sequence[Seen], n: int) -> list[str]:
    """Give the evidence of word ``n`` inside a request."""
    what = seen[n]
    found = ["word=" + stream[n].key]
    found += ["cue=" + role for role in (*what.cues, *what.grammar)]
    if what.kind:
        found.append("kind=" + what.kind)
    return found


def _sort(seen: Seen) -> str:
    """Give what sort of word stands beside a request."""
    if seen.inside:
        return "in a term"
    if seen.grammar or seen.cues:
        return (*seen.grammar, *seen.cues)[0]
    return seen.kind or ("link" if seen.link else "word")


_GROUPS: Final = ("request", "size=", "things=", "verbs=", ("no thing", "bare thing", "thing with"), "same thing twice",
                  "led to by a preposition")  # fmt: skip
"""Signs of which a stretch has one each; besides, the kind of its first thing."""
_Sign = tuple[int, str, int, bool, bool, int, int, bool, bool]


def _named(sign: _Sign) -> list[str]:
    """Give the names of the signs of a stretch."""
    size, kind, other, free, courteous, things, verbs, again, led = sign
    bare = not other and free
    polite = "polite " if courteous else ""
    found = [
        "request",
        f"size={size}",
        f"{'bare ' if bare else ''}{polite}kind of first thing={kind}",
        f"things={things}",
        f"verbs={verbs}",
    ]
    if not things:
        found.append("no thing")
    elif bare:
        found.append("bare thing")
    else:
        found.append(f"thing with other words={other}")
    if again:
        found.append(f"{polite}same thing twice")
    if led:
        found.append("led to by a preposition")
    return found


class Signs:
    """Signs of whole stretches, from counts that run from the start of the recording."""

    def __init__(self, seen: Sequence[Seen]) -> None:
        self._seen = seen
        self._other = _running(not (s.kind or s.inside or s.link or s.talk) for s in seen)
        self._thing = _running(s.kind in ASKED for s in seen)
        self._polite = _running(not _POLITE.isdisjoint(s.cues) for s in seen)
        self._verb = _running(s.verb for s in seen)
        self._again = _said_before(seen)
        self._led = _led_to(seen)
        total = len(seen)
        self._first = [total] * (total + 1)
        for n in range(total - 1, -1, -1):
            self._first[n] = n if seen[n].kind else self._first[n + 1]

    def names(self, first: int, last: int) -> list[str]:
        """Give the signs of one stretch."""
        return _named(self.sign(first, last))

    def sign(self, first: int, last: int) -> _Sign:
        """Give what the signs of one stretch are named by; many stretches have the same."""
        at = self._first[first]
        other = self._other[last] - self._other[first]
        things = self._thing[last] - self._thing[first]
        return (
            _SIZE[min(last - first, _LONG)],
            self._seen[at].kind if at < last else "",
            min(other, 4) if things or not other else 1,
            "preposition" not in self._seen[first].cues,
            self._polite[first] < self._polite[last],
            min(things, 3),
            min(self._verb[last] - self._verb[first], 2),
            self._again[last] >= first,
            at < last and self._led[at] > first,
        )

    def gives(self, first: int, last: int) -> bool:
        """Tell whether a drug is named without a word of asking: who names it gives it."""
        at = self._first[first]
        return at < last and self._seen[at].kind == "drug" and self._polite[first] == self._polite[last]


def _running(flags: Iterable[bool]) -> list[int]:
    found = [0]
    for flag in flags:
        found.append(found[-1] + flag)
    return found


def _said_before(seen: Sequence[Seen]) -> list[int]:
    """Give for each end the latest place before it whose concept is named again before that end; -1 for none."""
    found = [-1]
    named: dict[str, int] = {}
    for n, what in enumerate(seen):
        found.append(max(found[-1], named.get(what.concept, -1)) if what.concept else found[-1])
        named[what.concept] = n
    return found


def _led_to(seen: Sequence[Seen]) -> list[int]:
    """Give for each word the place after the preposition that leads to it, over articles and sizes; 0 for none."""
    found = []
    led = 0
    for n, what in enumerate(seen):
        found.append(led)
        if "preposition" in what.cues:
            led = n + 1
        elif not what.link:
            led = 0
    return found


def asked_stretches(
    stream: Sequence[Word], seen: Sequence[Seen], gaps: Sequence[float], waits: Waits, weights: Weights
) -> dict[tuple[int, int], float]:
    """Give the stretches that may be requests, with their log-odds; only those more likely than not.

    Parameters
    ----------
    stream, seen : sequence
        The words, and what the word lists say of them.
    gaps : sequence of float
        Score of a new statement before each word; the first counts for nothing.
    waits : sequence of bool or None
        As ``waits_after`` gives them.
    weights : mapping
        Weight of each piece of evidence.

    Returns
    -------
    dict
        By first word and the word after the last.
    """
    get, total = weights.get, len(stream)
    signs, most = Signs(seen), _most(weights)
    worth: dict[_Sign, float] = {}
    edges = [n for n in range(total + 1) if n in (0, total) or gaps[n] > _NO_CUT]
    inner = [0.0]
    for n in range(total):
        inner.append(inner[-1] + sum([get(name, 0.0) for name in word_evidence(stream, seen, n)]))
    tails = {n: sum([get(name, 0.0) for name in tail_evidence(stream, seen, n - 1, waits)]) for n in edges if n}
    found: dict[tuple[int, int], float] = {}
    for k, first in enumerate(edges[:-1]):
        head = sum([get(name, 0.0) for name in head_evidence(stream, seen, first)]) - inner[first]
        for last in edges[k + 1 :]:
            if last - first > LONGEST:
                break
            value = head + inner[last] + tails[last]
            if value + most <= 0:
                continue
            sign = signs.sign(first, last)
            if sign not in worth:
                worth[sign] = sum([get(name, 0.0) for name in _named(sign)])
            value += worth[sign]
            if value > 0 and not signs.gives(first, last):
                found[first, last] = value
    return found


_most_of: list[tuple[Weights, float]] = []


def _most(weights: Weights) -> float:
    """Give more than the signs of any stretch can weigh together: what stays below is not looked at closely.

    Worked out once for the same weights.
    """
    if not _most_of or _most_of[0][0] is not weights:
        _most_of[:] = [(weights, _sum_of_most(weights))]
    return _most_of[0][1]


def _sum_of_most(weights: Weights) -> float:
    return (
        1e-6
        + sum(
            max(
                [0.0, *(weight for name, weight in weights.items() if name.startswith(begins) or name.endswith(begins))]
            )
            for begins in _GROUPS
        )
        + max([0.0, *(weight for name, weight in weights.items() if "kind of first thing=" in name)])
    )


def evidence(
    stream: Sequence[Word], seen: Sequence[Seen], waits: Waits, place: tuple[int, int], signs: Signs
) -> dict[str, float]:
    """Give all evidence of one stretch, as the fit needs it."""
    first, last = place
    names = [*signs.names(first, last), *head_evidence(stream, seen, first)]
    names += tail_evidence(stream, seen, last - 1, waits)
    for n in range(first, last):
        names += word_evidence(stream, seen, n)
    return {name: float(count) for name, count in Counter(names).items()}
