"""French number words, of France, Belgium and Switzerland. The grammar is ``text/numbers.py``."""

from __future__ import annotations

ZEROS = ("zéro",)
ZERO_LETTERS: tuple[str, ...] = ()
DIGITS = {
    w: n for n, w in enumerate(["un", "deux", "trois", "quatre", "cinq", "six", "sept", "huit", "neuf"], start=1)
} | {"une": 1}
TEENS = {w: n for n, w in enumerate(["dix", "onze", "douze", "treize", "quatorze", "quinze", "seize"], start=10)}
TENS = {
    "vingt": 20,
    "vingts": 20,
    "trente": 30,
    "quarante": 40,
    "cinquante": 50,
    "soixante": 60,
    "septante": 70,
    "huitante": 80,
    "octante": 80,
    "nonante": 90,
}
HUNDREDS = ("cent", "cents")
HUNDREDS_UP_TO = 16
""""onze cents" to "seize cents"."""
SCALES = {
    "mille": 1000,
    "mil": 1000,
    "million": 1_000_000,
    "millions": 1_000_000,
    "milliard": 1_000_000_000,
    "milliards": 1_000_000_000,
}
ONES = ("un", "une")
ARTICLES = ("un", "une")
DECIMALS = ("virgule", "point")
NO_DECIMAL_AFTER = ("ce", "au", "quel", "chaque", "premier", "dernier", "deuxième", "petit", "gros", "du")
HUNDRED_AND: tuple[str, ...] = ()
TENS_AND = ("et",)
"""Joins ``un`` and ``onze`` to tens: "vingt et un", "soixante et onze"."""
FRACTION_AND = ("et",)
HALVES = ("demi", "demie", "demis", "demies")
DENOMINATORS = {
    "quart": 4,
    "quarts": 4,
    "tiers": 3,
    "cinquième": 5,
    "cinquièmes": 5,
    "dixième": 10,
    "dixièmes": 10,
    "centième": 100,
    "centièmes": 100,
    "millième": 1000,
    "millièmes": 1000,
}
PLURAL_ONLY = ("cinquième",)
FRACTION_ARTICLES = ("un", "une")
ORDINALS = {
    w: n
    for n, w in enumerate(
        [
            "premier",
            "deuxième",
            "troisième",
            "quatrième",
            "cinquième",
            "sixième",
            "septième",
            "huitième",
            "neuvième",
            "dixième",
            "onzième",
            "douzième",
            "treizième",
            "quatorzième",
            "quinzième",
            "seizième",
        ],
        start=1,
    )
} | {
    "première": 1,
    "vingtième": 20,
    "trentième": 30,
    "quarantième": 40,
    "cinquantième": 50,
    "soixantième": 60,
    "unième": 1,
    "centième": 100,
}
COLLECTIVES = {
    "dizaine": 10,
    "douzaine": 12,
    "quinzaine": 15,
    "vingtaine": 20,
    "trentaine": 30,
    "quarantaine": 40,
    "cinquantaine": 50,
    "soixantaine": 60,
    "centaine": 100,
}
NOT_NUMBERS: tuple[str, ...] = ("a", "an", "o", "oh", "half")
SEVENTY_TEENS = (60, 80)
"""Tens that take ``dix`` to ``dix-neuf``: 70 to 79 and 90 to 99."""
HALF_PAST: tuple[str, ...] = ()
