"""Round trip of numbers: an independent library says them, we read them back. Target: all of them."""

from __future__ import annotations

import random

import pytest
from num2words import num2words

from build import line
from otochron.model import Lang, Record
from otochron.text.numbers import read_numbers
from otochron.text.stream import words

LANGUAGES: tuple[tuple[str, Lang], ...] = (("en", "en"), ("fr", "fr"), ("fr_BE", "fr"), ("fr_CH", "fr"))


def wrong(values: list[float], dialect: str, lang: Lang) -> list[tuple[float, str, list[tuple[float, ...]]]]:
    """Give the numbers that are not read as one number with that value first."""
    found = []
    for value in values:
        said = num2words(value, lang=dialect)
        read = read_numbers(words(Record(lines=(line(1, said, lang),))))
        if len(read) != 1 or abs(read[0].value - value) > 1e-9:
            found.append((value, said, [n.readings for n in read]))
    return found


@pytest.mark.parametrize(("dialect", "lang"), LANGUAGES)
def test_whole_numbers_to_9999_come_back(dialect: str, lang: Lang) -> None:
    assert wrong(list(range(10_000)), dialect, lang) == []


@pytest.mark.parametrize(("dialect", "lang"), LANGUAGES)
def test_random_whole_numbers_to_999999_come_back(dialect: str, lang: Lang) -> None:
    draw = random.Random(20)
    assert wrong([draw.randint(10_000, 999_999) for _ in range(10_000)], dialect, lang) == []


@pytest.mark.parametrize(("dialect", "lang"), LANGUAGES)
def test_decimals_to_two_places_come_back(dialect: str, lang: Lang) -> None:
    draw = random.Random(21)
    values = [n / 100 for n in range(2000)] + [round(draw.uniform(20, 1000), 2) for _ in range(2000)]
    assert wrong(values, dialect, lang) == []
