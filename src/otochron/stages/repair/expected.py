"""How well a term fits its place and its recording: what speaks for it beside the sound and the words in a row."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from otochron.lexicon.forms import tokens
from otochron.stages.repair.context import START, Context
from otochron.stages.repair.near import Near
from otochron.text.ngrams import WIDE, Ngrams

_USUAL: Final = 1.5
"""Logarithm of how often a word is said that is quite usual."""


def expected(found: Sequence[Near], context: Context, ngrams: Ngrams) -> list[dict[str, float]]:
    """Give the features of all candidates that tell how likely their terms are here."""
    alike = ngrams.alike(context.spoken.keys())
    told: dict[tuple[str, ...], tuple[float, float]] = {}
    forms: dict[int, float] = {}
    places: dict[tuple[int, int], tuple[list[int], dict[str, float]]] = {}
    numbers = []
    for one in found:
        concepts, place = one.target.concepts, (one.first, one.last)
        if place not in places:
            places[place] = ngrams.numbered(_around(one, context)), _beside(one, context, ngrams)
        if id(one.target) not in forms:
            forms[id(one.target)] = math.log10(0.3 + _forms(one, ngrams))
        around, beside = places[place]
        if concepts not in told:
            told[concepts] = ngrams.told_in(concepts, alike)
        here, anywhere = told[concepts]
        numbers.append(
            {
                "told in such recordings": here,
                "told more in such recordings": here - anywhere,
                "neighbourhood": ngrams.neighbourhood(concepts, around) / 3,
                "form told of": forms[id(one.target)],
            }
            | _rows(one, context, ngrams)
            | beside
        )
    return numbers


def _around(one: Near, context: Context) -> list[str]:
    """Give the concepts heard right in the neighbourhood of a window."""
    half = WIDE // 2
    first, last = context.place[one.first], context.place[one.last - 1] + 1
    beside = [*context.names[max(0, first - half) : first], *context.names[last : last + half]]
    return sorted({name[1:] for name in beside if name[0] == "@"})


def _forms(one: Near, ngrams: Ngrams) -> int:
    """Count how often the term is said in this very form; a plural that sounds the same is the same."""
    forms = [one.target.tokens, *([tokens(one.target.plural)] if one.target.plural else [])]
    return sum(ngrams.forms.get(f"{c} {' '.join(form)}", 0) for c in one.target.concepts for form in forms)


def _rows(one: Near, context: Context, ngrams: Ngrams) -> dict[str, float]:
    """Tell how often the concept is said right after the word before it, and right before the word after it."""
    first, last = context.place[one.first], context.place[one.last - 1] + 1
    before = context.names[first - 1]
    after = context.names[last] if last < len(context.names) else START
    begun = sum([ngrams.rows.get(f"{before} @{c}", 0) for c in one.target.concepts])
    ended = sum([ngrams.rows.get(f"@{c} {after}", 0) for c in one.target.concepts])
    return {
        "so begun": math.log1p(begun),
        "so ended": math.log1p(ended),
        "neither so begun nor so ended": float(not begun and not ended),
    }


def _beside(one: Near, context: Context, ngrams: Ngrams) -> dict[str, float]:
    """Tell how unusual the words beside a window are: the term that was meant may be longer."""
    stream = context.stream
    before = one.first > 0 and stream[one.first - 1].mark != "."
    after = one.last < len(stream) and stream[one.last - 1].mark != "."
    return {
        "unusual word before": _unusual(one.first - 1, context, ngrams) if before else 0.0,
        "unusual word after": _unusual(one.last, context, ngrams) if after else 0.0,
    }


def _unusual(n: int, context: Context, ngrams: Ngrams) -> float:
    """Tell how rare a word is in narrations, 0 for a term heard right, a number or an elided word."""
    word = context.stream[n]
    if context.inside[n] is not None or word.text[-1] in "'\u2019" or word.key[0].isdigit():
        return 0.0
    return max(0.0, _USUAL - math.log10(0.3 + ngrams.seen(word.key))) / 2
