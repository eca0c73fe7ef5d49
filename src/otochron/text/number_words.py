"""What part each word plays in a number: the tables of both languages behind one look-up.

A number may begin in one language and end in the other ("quatre point five"), so a word is looked up in
the table of its own language first, then in the other's.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from types import ModuleType

from otochron.model import Lang
from otochron.text import numbers_en, numbers_fr
from otochron.text.normal import fold
from otochron.text.stream import Word

ARTICLE_POINTS = frozenset({"point"})
"""Decimal words before which an article may stand: "un point six"."""

_TABLES: dict[Lang, ModuleType] = {"en": numbers_en, "fr": numbers_fr}
_DIGITS = re.compile(r"(\d+)(?:([.,])(\d+))?")
_SLASH = re.compile(r"(\d+)[/:](\d+(?:[.,]\d{3})*)")


@dataclass(frozen=True, slots=True)
class Atom:
    """The parts one word can play in a number. A part that it cannot play is ``None`` or ``False``."""

    language: Lang
    shared: bool = False
    """Spelt alike in both languages: "six", "million"."""
    zero: bool = False
    zero_letter: bool = False
    digit: int | None = None
    teen: int | None = None
    ten: int | None = None
    hundred: bool = False
    scale: int | None = None
    one: bool = False
    """Stands for 1, but is more often an article or a pronoun."""
    article: bool = False
    decimal: bool = False
    hundred_and: bool = False
    tens_and: bool = False
    fraction_and: bool = False
    half: bool = False
    denominator: int | None = None
    plural: bool = False
    ordinal_in_singular: bool = False
    fraction_article: bool = False
    ordinal: int | None = None
    collective: int | None = None
    seventy_teens: bool = False
    hundreds_up_to: int = 0


class _Folded:
    """The tables of one language whose words are listed with their accents, without them."""

    def __init__(self, table: ModuleType) -> None:
        self.zeros = frozenset(map(fold, table.ZEROS))
        self.plural_only = frozenset(map(fold, table.PLURAL_ONLY))
        self.no_decimal_after = frozenset(map(fold, table.NO_DECIMAL_AFTER))
        self.denominators: dict[str, int] = {fold(word): value for word, value in table.DENOMINATORS.items()}
        self.ordinals: dict[str, int] = {fold(word): value for word, value in table.ORDINALS.items()}
        self.collectives: dict[str, int] = {fold(word): value for word, value in table.COLLECTIVES.items()}
        self.numbers = frozenset({*table.DIGITS, *table.SCALES} - set(table.NOT_NUMBERS))


_FOLDED: dict[Lang, _Folded] = {language: _Folded(table) for language, table in _TABLES.items()}


@lru_cache(maxsize=4096)
def _atom(name: str, language: Lang) -> Atom | None:
    """Look a folded word up in one table."""
    t = _TABLES[language]
    if name in t.NOT_NUMBERS:
        return None
    ten = t.TENS.get(name)
    folded, other = _FOLDED[language], _FOLDED["fr" if language == "en" else "en"]
    found = Atom(
        language=language,
        shared=name in other.numbers and name not in t.ONES,
        zero=name in folded.zeros,
        zero_letter=name in t.ZERO_LETTERS,
        digit=t.DIGITS.get(name),
        teen=t.TEENS.get(name),
        ten=ten,
        hundred=name in t.HUNDREDS,
        scale=t.SCALES.get(name),
        one=name in t.ONES,
        article=name in t.ARTICLES,
        decimal=name in t.DECIMALS,
        hundred_and=name in t.HUNDRED_AND,
        tens_and=name in t.TENS_AND,
        fraction_and=name in t.FRACTION_AND,
        half=name in t.HALVES,
        denominator=folded.denominators.get(name),
        plural=name.endswith("s"),
        ordinal_in_singular=name in folded.plural_only,
        fraction_article=name in t.FRACTION_ARTICLES,
        ordinal=folded.ordinals.get(name),
        collective=folded.collectives.get(name),
        seventy_teens=ten in t.SEVENTY_TEENS,
        hundreds_up_to=t.HUNDREDS_UP_TO,
    )
    idle = Atom(language=language, shared=found.shared, plural=found.plural, hundreds_up_to=t.HUNDREDS_UP_TO)
    return None if found == idle else found


def same_language(one: Atom, two: Atom) -> bool:
    """Tell whether two words can stand in one whole number; a switch inside it begins a new one."""
    return one.language == two.language or one.shared or two.shared


def atom(word: Word) -> Atom | None:
    """Give the parts a word can play, or None if it belongs to no number."""
    name = fold(word.key)
    other: Lang = "fr" if word.language == "en" else "en"
    if name in _TABLES[word.language].NOT_NUMBERS:
        return None
    return _atom(name, word.language) or _atom(name, other)


def is_number(word: Word) -> bool:
    """Tell whether a word is a number, more than an article or a part of one."""
    if word.key[0].isdigit():
        return True
    found = atom(word)
    if found is None:
        return False
    values = (found.teen, found.ten, found.scale, found.digit)
    return found.hundred or (any(v is not None for v in values) and not found.article and not found.decimal)


def cannot_be_decimal(before: Word) -> bool:
    """Tell whether ``point`` after this word is a noun."""
    name = fold(before.key)
    return any(name in folded.no_decimal_after for folded in _FOLDED.values())


def is_time_of_day(after_half: Word) -> bool:
    """Tell whether the word after "half" makes it a time of day ("half past five")."""
    return any(after_half.key in table.HALF_PAST for table in _TABLES.values())


def digits_of(text: str, language: Lang) -> tuple[float, ...]:
    """Read a number written in digits.

    A point or comma before exactly three digits may part thousands or decimals; the readings then come
    with the custom of the language first.

    >>> digits_of("0,6", "fr"), digits_of("100,000", "en"), digits_of("4.250", "en")
    ((0.6,), (100000.0, 100.0), (4.25, 4250.0))
    """
    match = _DIGITS.fullmatch(text)
    if match:
        whole, mark, rest = match.groups()
        decimal = float(f"{whole}.{rest or 0}")
        if rest is None or len(rest) != 3 or whole == "0" or len(whole) > 3:
            return (decimal,)
        thousands = float(whole + rest)
        parts_thousands = mark == "," if language == "en" else mark == "."
        return (thousands, decimal) if parts_thousands else (decimal, thousands)
    grouped = re.sub(r"[.,](?=\d{3}(?!\d))", "", text)
    return (float(grouped),) if grouped.isdigit() else ()


def ratio_of(text: str) -> tuple[int, int] | None:
    """Read ``1:100000`` or ``1/100,000`` as its two numbers."""
    match = _SLASH.fullmatch(text)
    return (int(match[1]), int(re.sub(r"[.,]", "", match[2]))) if match and int(re.sub(r"[.,]", "", match[2])) else None
