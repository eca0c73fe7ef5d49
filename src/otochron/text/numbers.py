"""Read numbers as they are spoken, in English, French, or both in one number.

The words are tables (``numbers_en.py``, ``numbers_fr.py``); this is the grammar they share. A number with
several readings keeps them all: "quatre vingt-cinq" is 85 or 4.25, and what is measured decides, not this
module. Units, ranges, products and ratios are joined later (``stages/measurements``).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from otochron.text.number_words import (
    ARTICLE_POINTS,
    cannot_be_decimal,
    digits_of,
    is_time_of_day,
    ratio_of,
    same_language,
)
from otochron.text.numbers_whole import BREATH_MS, WholeReader
from otochron.text.stream import Word

Kind = Literal["cardinal", "fraction", "tail", "ordinal", "ratio", "collective", "name"]


@dataclass(frozen=True, slots=True)
class Number:
    """One number: words ``first`` to ``last`` (half-open) of the stream.

    ``readings`` holds every value it may stand for, the most usual first. A ``tail`` is "and a half" without
    its whole ("un millimètre et demi"). ``weak`` marks words that are usually none: "one", "un", "half", "a".
    ``decimal`` tells that decimals or a fraction were spoken.
    """

    first: int
    last: int
    readings: tuple[float, ...]
    kind: Kind = "cardinal"
    weak: bool = False
    decimal: bool = False

    @property
    def value(self) -> float:
        """The most usual reading."""
        return self.readings[0]


def read_numbers(words: Sequence[Word]) -> list[Number]:
    """Find the numbers of a stream of words, in order.

    Parameters
    ----------
    words : sequence of Word
        In either language or both, with punctuation or without, cut into lines anywhere.

    Returns
    -------
    list of Number
        They do not overlap. A number begun and said again at once ("four, four point five", or "five" at
        the end of a line and "five millimetres" in the next) is given once, as it was said last.
    """
    return _without_restarts(words, _Reader(words).read())


def _without_restarts(words: Sequence[Word], found: list[Number]) -> list[Number]:
    """Drop a number whose words begin the number that follows it directly."""
    kept: list[Number] = []
    for number in found:
        while kept and _restarts(words, kept[-1], number):
            kept.pop()
        kept.append(number)
    return kept


def _restarts(words: Sequence[Word], one: Number, two: Number) -> bool:
    if one.last != two.first or one.kind == "tail":
        return False
    said = [w.key for w in words[one.first : one.last]]
    again = [w.key for w in words[two.first : two.last]]
    return said == again[: len(said)]


class _Reader(WholeReader):
    """The grammar of decimals and fractions, and of one number."""

    def read(self) -> list[Number]:
        found: list[Number] = []
        place = 0
        while place < len(self.words):
            number = self._number(place)
            if number is not None:
                found.append(number)
            place = number.last if number else place + 1
        return found

    def _decimals(self, place: int, *, pointed: bool = True) -> tuple[str, int] | None:
        """Read what follows ``point``: "two five", "vingt-cinq", "oh five", "zéro cinq", digits.

        Without a point ("zéro cinq", "zero five") digits written as such and a second "one" do not count.
        """
        if pointed and self.is_digits(place, place) and self.words[place].text.isdigit():
            return self.words[place].text, place + 1
        text, here = "", place
        while (part := self.part(here, place)) is not None:
            if part.zero or (part.zero_letter and pointed):
                text, here = text + "0", here + 1
                continue
            if (part.article and part.language == "en") or (part.one and text and not pointed):
                break
            small = self.below_hundred(here, here)
            digits = text.lstrip("0")
            if small is None or len(digits) > 2 or (digits and small[0] >= 10):
                break
            if digits and (after := self.below_hundred(small[1], here)) is not None and after[0] >= 10:
                break  # "point five, four seventy-five"
            if digits and (after_atom := self.at(small[1], here)) is not None and after_atom.denominator:
                break
            text, here = text + str(small[0]), small[1]
            if small[0] >= 10:
                break
        return (text, here) if text else None

    def _fraction_tail(self, place: int, start: int) -> tuple[float, int] | None:  # noqa: PLR0911  # a return per manner
        """Read "and a half", "et demi", "et quart", "trois quarts", "un quart" after a whole number or a unit."""
        here = self.at(place, start)
        joined = here is not None and here.fraction_and
        if joined:
            place += 1
            here = self.at(place, start)
        if here is None:
            return None
        if joined and here.half:
            return None if self._is_past(place + 1) else (0.5, place + 1)
        if joined and here.denominator == 4:
            return 0.25, place + 1
        following = self.at(place + 1, start)
        if following is None:
            return None
        if here.fraction_article and (joined and following.half):
            return 0.5, place + 2
        if here.fraction_article and following.denominator in (3, 4) and not following.plural:
            return 1 / following.denominator, place + 2
        if here.fraction_article and following.denominator == 3:
            return 1 / 3, place + 2
        if here.digit in (2, 3) and following.denominator in (3, 4) and following.plural:
            return here.digit / following.denominator, place + 2
        return None

    def _is_past(self, place: int) -> bool:
        return place < len(self.words) and is_time_of_day(self.words[place])

    def _fraction(self, whole: float, place: int, start: int) -> tuple[float, int] | None:
        """Read the denominator after a numerator: "six dixièmes", "three quarters", "two tenths"."""
        here = self.at(place, start)
        if here is None:
            return None
        if here.half and whole == 1:
            return 0.5, place + 1
        if here.denominator is None or (whole > 1 and here.ordinal_in_singular and not here.plural):
            return None
        if whole > here.denominator and here.denominator <= 5:
            return None
        return whole / here.denominator, place + 1

    def _number(self, place: int) -> Number | None:  # noqa: PLR0911, PLR0912  # a return per manner
        if self.words[place].text[0].isdigit():
            return self._from_digits(place)
        here = self.atoms[place]
        if here is None:
            return None
        if (here.decimal or here.zero_letter) and (number := self._leading_point(place)):
            return number
        if here.zero:
            return self._from_zero(place)
        if here.fraction_and:
            tail = self._fraction_tail(place, place)
            return Number(place, tail[1], (tail[0],), "tail", decimal=True) if tail else None
        whole = self.whole(place)
        if whole is not None:
            return self._from_whole(place, *whole)
        following = self.at(place + 1, place)
        if here.article and following is not None and (following.half or following.denominator or following.collective):
            number = self._number(place + 1)
            if number is not None and number.first == place + 1 and number.kind in ("fraction", "collective"):
                return Number(place, number.last, number.readings, number.kind, number.weak, number.decimal)
        if here.half:
            return None if self._is_past(place + 1) else Number(place, place + 1, (0.5,), "fraction", True, True)
        if here.denominator is not None and (here.denominator == 4 or here.ordinal is None) and not here.plural:
            return Number(place, place + 1, (1 / here.denominator,), "fraction", weak=True, decimal=True)
        if here.collective is not None:
            return Number(place, place + 1, (float(here.collective),), "collective")
        if here.ordinal is not None:
            return Number(place, place + 1, (float(here.ordinal),), "ordinal")
        if here.article and here.one:
            return Number(place, place + 1, (1.0,), weak=True)
        return None

    def _leading_point(self, place: int) -> Number | None:
        """Read "point six" and "oh point six"."""
        point = place
        here = self.atoms[place]
        if here is not None and here.zero_letter:
            point = place + 1
            after = self.at(point, place)
            if after is None or not after.decimal:
                return None
        elif place > 0 and self._follows(place) and cannot_be_decimal(self.words[place - 1]):
            return None
        decimals = self._decimals(point + 1)
        if decimals is None or decimals[0] == "0":
            return None
        return Number(place, decimals[1], (float("0." + decimals[0]),), decimal=True)

    def _follows(self, place: int) -> bool:
        """Tell whether a word directly follows the one before it, in one breath and one line."""
        one, two = self.words[place - 1], self.words[place]
        return one.mark == "" and one.line == two.line and two.start_ms - one.end_ms < BREATH_MS

    def _from_zero(self, place: int) -> Number:
        """Read "zéro virgule six", "zéro six", "zero point oh five", and zero itself."""
        after = self.at(place + 1, place)
        start = place + 2 if after is not None and after.decimal else place + 1
        pointed = start == place + 2
        decimals = self._decimals(start, pointed=pointed) if pointed or self.at(start, place) else None
        if decimals is not None:
            return Number(place, decimals[1], (float("0." + decimals[0]),), decimal=True)
        return Number(place, place + 1, (0.0,))

    def _from_whole(self, place: int, value: int, end: int, other: float | None) -> Number:  # noqa: PLR0911  # a return per manner
        here = self.atoms[place]
        assert here is not None
        after = self.at(end, place)
        readings = (float(value),) if other is None else (float(value), round(other, 2))
        if after is not None and after.decimal and (end == place + 1 or same_language(here, after)):
            decimals = self._decimals(end + 1)
            if decimals is not None:
                fine = float(f"{value}.{decimals[0]}")
                # "un point six piston": one point six, or a point six piston
                article = here.article and end == place + 1 and self.words[end].key in ARTICLE_POINTS
                both = (fine, float(f"0.{decimals[0]}")) if article else (fine,)
                return Number(place, decimals[1], both, decimal=True)
        if after is not None and after.ordinal is not None and (value >= 20 and value % 10 == 0) and after.ordinal < 10:
            return Number(place, end + 1, (float(value + after.ordinal),), "ordinal")
        if after is not None and after.tens_and and (n := self.at(end + 1, place)) and n.ordinal == 1 and value >= 20:
            return Number(place, end + 2, (float(value + 1),), "ordinal")
        if after is not None and after.denominator == 1000 and value >= 10 and not after.plural:
            return Number(place, end + 1, (1 / (value * 1000),), "ratio", decimal=True)  # "au cent millième"
        fraction = self._fraction(value, end, place)
        if fraction is not None:
            half = self._fraction_tail(fraction[1], place)
            if half is not None and half[0] == 0.5 and after is not None and (after.denominator or 0) >= 10:
                # "deux dixièmes et demi"
                return Number(place, half[1], ((value + 0.5) / (after.denominator or 1),), "fraction", decimal=True)
            # Thirds and fifths are shares, not sizes: they count only with a unit.
            share = after is not None and after.denominator in (3, 5)
            return Number(place, fraction[1], (fraction[0],), "fraction", weak=share, decimal=True)
        tail = self._fraction_tail(end, place)
        if tail is not None:
            mixed = tuple(round(r + tail[0], 6) for r in readings if r == int(r))
            return Number(place, tail[1], mixed, decimal=True)
        if after is not None and after.collective is not None and value < 10:
            return Number(place, end + 1, (float(value * after.collective),), "collective")
        spoken = self._spoken_decimals(place, value, end)
        if spoken is not None:
            return spoken
        return Number(place, end, readings, weak=here.one and end == place + 1)

    def _spoken_decimals(self, place: int, value: int, end: int) -> Number | None:  # noqa: PLR0911  # a return per manner
        """Read "four twenty-five", "quatre cinquante", "four two five": with decimals or without."""
        here = self.atoms[place]
        if here is None or here.digit is None or end != place + 1 or (here.article and here.language == "en"):
            return None
        part = self.part(end, place)
        if part is not None and part.zero:
            return Number(place, end + 1, (float(value),), "name")  # "four zero": the size of a thread
        if part is None or (part.article and part.language == "en"):
            return None
        small = self.below_hundred(end, end)
        if small is None or self.words[end].key == self.words[place].key:
            return None
        rest, last = small[0], small[1]
        if rest == value + 1:
            return None  # "nine ten"
        if rest < 10:
            third = self.below_hundred(last, end)
            if (
                third is None
                or third[0] >= 10
                or third[0] == rest + 1
                or (rest - value == third[0] - rest and rest != value)
            ):
                return None
            if self.atoms[last] is not None and self.atoms[last].article:  # type: ignore[union-attr]
                return None
            rest, last = rest * 10 + third[0], third[1]
        after = self.at(last, place)
        if after is not None and after.denominator and rest > 20 and rest % 10 and last == end + 2:
            rest, last = rest - rest % 10, last - 1  # "six cinquante, quatre dixièmes"
        elif after is not None and (after.hundred or after.scale is not None or after.decimal or after.denominator):
            return None
        if self._fraction_tail(last, place) is not None:
            return None
        fine, run = round(value + rest / 100, 2), float(value * 100 + rest)
        if here.one:
            # "un vingt-cinq" is 1.25, or "a twenty-five"
            return Number(place, last, (fine, float(rest)) if here.article else (fine, run), decimal=False)
        return Number(place, last, (run, fine) if here.language == "en" else (fine, run))

    def _from_digits(self, place: int) -> Number | None:  # noqa: PLR0911, PLR0912  # a return per manner
        word = self.words[place]
        if parts := ratio_of(word.text):
            one, two = parts
            if two >= 100 and one < two:
                two, end = self._grouped(two, place, place + 1)
                return Number(place, end, (one / two,), "ratio", decimal=True)
            if "/" in word.text and one < two:
                return Number(place, place + 1, (one / two,), "fraction", decimal=True)
            return None
        readings = digits_of(word.text, word.language)
        if not readings:
            return None
        end = place + 1
        value = readings[0]
        spoken_decimal = value != int(value)
        if value == int(value) and word.text.isdigit() and len(word.text) <= 3 and word.text[0] != "0":
            grouped, end = self._grouped(int(value), place, end)
            if end > place + 1:
                value, readings = float(grouped), (float(grouped),)
        after = self.at(end, place)
        if after is not None and after.scale is not None and value < 1000:
            return Number(place, end + 1, (value * after.scale,))
        if value == int(value) and after is not None:
            if after.decimal and (decimals := self._decimals(end + 1)):
                return Number(place, decimals[1], (float(f"{int(value)}.{decimals[0]}"),), decimal=True)
            if fraction := self._fraction(value, end, place):
                return Number(place, fraction[1], (fraction[0],), "fraction", decimal=True)
            if tail := self._fraction_tail(end, place):
                return Number(place, tail[1], (round(value + tail[0], 6),), decimal=True)
        if value == int(value) and self.is_digits(end, place):
            parts = ratio_of(self.words[end].text)
            if parts and parts[0] < parts[1] <= 10:
                return Number(place, end + 1, (value + parts[0] / parts[1],), decimal=True)
        return Number(place, end, readings, decimal=spoken_decimal)

    def _grouped(self, value: int, start: int, end: int) -> tuple[int, int]:
        """Add the groups of three digits that follow with a space: "100 000"."""
        while self.is_digits(end, start) and re.fullmatch(r"\d{3}", self.words[end].text) and not self.words[end].glued:
            value, end = value * 1000 + int(self.words[end].text), end + 1
        return value, end
