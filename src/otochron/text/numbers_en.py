"""English number words. The grammar that reads them is ``text/numbers.py``, shared with French."""

from __future__ import annotations

ZEROS = ("zero", "nought", "naught")
ZERO_LETTERS = ("oh", "o")
"""Zero only before ``point`` or inside decimals: alone they are cries."""
DIGITS = {w: n for n, w in enumerate(["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"], start=1)}
TEENS = {
    w: n
    for n, w in enumerate(
        [
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ],
        start=10,
    )
}
TENS = {
    w: 10 * n
    for n, w in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2)
} | {"fourty": 40}
HUNDREDS = ("hundred", "hundreds")
HUNDREDS_UP_TO = 99
""""twelve hundred", "twenty-five hundred"."""
SCALES = {
    "thousand": 1000,
    "thousands": 1000,
    "million": 1_000_000,
    "millions": 1_000_000,
    "billion": 1_000_000_000,
}
ONES = ("one", "a", "an")
"""Words for 1 that are more often a pronoun or an article."""
ARTICLES = ("a", "an")
DECIMALS = ("point",)
NO_DECIMAL_AFTER = ("this", "that", "which", "every", "each", "some", "good", "same", "any", "first", "last")
"""After these, ``point`` is a noun."""
HUNDRED_AND = ("and",)
"""Joins what follows a hundred or a thousand."""
TENS_AND: tuple[str, ...] = ()
FRACTION_AND = ("and",)
HALVES = ("half", "halves")
DENOMINATORS = {
    "quarter": 4,
    "quarters": 4,
    "third": 3,
    "thirds": 3,
    "fifth": 5,
    "fifths": 5,
    "tenth": 10,
    "tenths": 10,
    "hundredth": 100,
    "hundredths": 100,
    "thousandth": 1000,
    "thousandths": 1000,
}
PLURAL_ONLY = ("third", "fifth")
"""After more than one, these are ordinals: "twenty third"."""
FRACTION_ARTICLES = ("a", "one")
ORDINALS = {
    w: n
    for n, w in enumerate(
        [
            "first",
            "second",
            "third",
            "fourth",
            "fifth",
            "sixth",
            "seventh",
            "eighth",
            "ninth",
            "tenth",
            "eleventh",
            "twelfth",
            "thirteenth",
            "fourteenth",
            "fifteenth",
            "sixteenth",
            "seventeenth",
            "eighteenth",
            "nineteenth",
            "twentieth",
        ],
        start=1,
    )
} | {"thirtieth": 30, "fortieth": 40, "fiftieth": 50, "sixtieth": 60, "hundredth": 100}
COLLECTIVES = {"dozen": 12, "couple": 2}
NOT_NUMBERS = ("mil", "cent", "cents", "mille", "mils", "quart", "quarts")
"""Words of the other language's table that are something else here."""
SEVENTY_TEENS: tuple[int, ...] = ()
HALF_PAST = ("past",)
"""After "half", these make a time of day."""
