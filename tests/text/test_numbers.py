"""Numbers as they are spoken: every manner, in both languages and in both at once."""

from __future__ import annotations

import pytest

from build import line, say
from otochron.model import Lang, LanguageSpan, Record
from otochron.text.numbers import Number, read_numbers
from otochron.text.stream import words

Read = tuple[str, tuple[float, ...]]


def read(record: Record) -> list[Read]:
    """Give surface and readings of the numbers that are more than an article."""
    stream = words(record)
    return [(_surface(record, n), n.readings) for n in read_numbers(stream) if not n.weak and n.kind != "ordinal"]


def _surface(record: Record, number: Number) -> str:
    return " ".join(word.text for word in words(record)[number.first : number.last])


@pytest.mark.parametrize(
    ("lang", "text", "found"),
    [
        ("en", "point six", [("point six", (0.6,))]),
        ("en", "oh point six", [("oh point six", (0.6,))]),
        ("en", "the point six gauge", [("point six", (0.6,))]),
        ("en", "at this point two of them", [("two", (2.0,))]),
        ("en", "zero point oh five", [("zero point oh five", (0.05,))]),
        ("en", "four and a quarter", [("four and a quarter", (4.25,))]),
        ("en", "two and three quarters", [("two and three quarters", (2.75,))]),
        ("en", "three tenths", [("three tenths", (0.3,))]),
        ("en", "two point two five", [("two point two five", (2.25,))]),
        ("en", "four two five", [("four two five", (425.0, 4.25))]),
        ("en", "four twenty-five", [("four twenty five", (425.0, 4.25))]),
        ("en", "six forty degrees", [("six forty", (640.0, 6.4))]),
        ("en", "one two three four", [("two", (2.0,)), ("three", (3.0,)), ("four", (4.0,))]),
        ("en", "between one hundred and two hundred", [("one hundred", (100.0,)), ("two hundred", (200.0,))]),
        ("en", "twelve hundred", [("twelve hundred", (1200.0,))]),
        ("en", "a dozen", [("a dozen", (12.0,))]),
        ("en", "4 1/2 mm", [("4 1/2", (4.5,))]),
        ("en", "4.5mm", [("4.5", (4.5,))]),
        ("en", "1:100 000", [("1:100 000", (0.00001,))]),
        ("en", "100,000 turns", [("100,000", (100000.0, 100.0))]),
        ("en", "this one is the one", []),
        ("en", "the twenty third", []),
        ("en", "five zero suture", [("five zero", (5.0,))]),
        ("fr", "zéro virgule six", [("zéro virgule six", (0.6,))]),
        ("fr", "zéro six", [("zéro six", (0.6,))]),
        ("fr", "zéro zéro cinq", [("zéro zéro cinq", (0.05,))]),
        ("fr", "six dixièmes", [("six dixièmes", (0.6,))]),
        ("fr", "vingt-cinq centièmes", [("vingt cinq centièmes", (0.25,))]),
        ("fr", "deux dixièmes et demi", [("deux dixièmes et demi", (0.25,))]),
        ("fr", "quatre et demi", [("quatre et demi", (4.5,))]),
        ("fr", "quatre et quart", [("quatre et quart", (4.25,))]),
        ("fr", "quatre trois quarts", [("quatre trois quarts", (4.75,))]),
        ("fr", "trois quarts", [("trois quarts", (0.75,))]),
        ("fr", "un demi-millimètre", [("un demi", (0.5,))]),
        ("fr", "quatre vingt-cinq", [("quatre vingt cinq", (85.0, 4.25))]),
        ("fr", "quatre-vingt-dix", [("quatre vingt dix", (90.0,))]),
        ("fr", "quatre cinquante", [("quatre cinquante", (4.5, 450.0))]),
        ("fr", "quatre soixante-quinze", [("quatre soixante quinze", (4.75, 475.0))]),
        ("fr", "six cent quarante", [("six cent quarante", (640.0,))]),
        ("fr", "septante et un", [("septante et un", (71.0,))]),
        ("fr", "huitante-cinq", [("huitante cinq", (85.0,))]),
        ("fr", "onze cents", [("onze cents", (1100.0,))]),
        ("fr", "0,6", [("0,6", (0.6,))]),
        ("fr", "au cent millième", [("cent millième", (0.00001,))]),
        ("fr", "le vingt et unième jour", []),
        ("fr", "un point six", [("un point six", (1.6, 0.6))]),
        ("fr", "à ce point deux choses", [("deux", (2.0,))]),
        ("fr", "une dizaine", [("une dizaine", (10.0,))]),
    ],
)
def test_numbers_are_read_as_spoken(lang: Lang, text: str, found: list[Read]) -> None:
    assert read(say(lang, text)) == found


@pytest.mark.parametrize(
    ("parts", "found"),
    [
        ((("fr", "quatre"), ("en", "point five")), [("quatre point five", (4.5,))]),
        ((("en", "four"), ("fr", "et demi")), [("four et demi", (4.5,))]),
        ((("fr", "quatre"), ("en", "and a half")), [("quatre and a half", (4.5,))]),
        ((("fr", "un piston de"), ("en", "point six")), [("point six", (0.6,))]),
        # A whole number does not go on in the other language: it is said again.
        ((("en", "three hundred"), ("fr", "trois cents")), [("three hundred", (300.0,)), ("trois cents", (300.0,))]),
        (
            (("en", "four point two five"), ("fr", "quatre vingt-cinq")),
            [("four point two five", (4.25,)), ("quatre vingt cinq", (85.0, 4.25))],
        ),
    ],
)
def test_numbers_cross_the_switch_of_language(parts: tuple[tuple[Lang, str], ...], found: list[Read]) -> None:
    text, spans = "", []
    for lang, part in parts:
        start = len(text)
        text += part + " "
        spans.append(LanguageSpan(start=start, end=len(text), language=lang))
    assert read(Record(lines=(line(1, text.strip()).evolve(languages=tuple(spans)),))) == found


@pytest.mark.parametrize(
    ("lang", "lines", "found"),
    [
        ("en", ("it is five", "five millimetres"), [("five", (5.0,))]),
        ("en", ("four", "four point five"), [("four point five", (4.5,))]),
        ("fr", ("je mesure quatre", "quatre et demi"), [("quatre et demi", (4.5,))]),
        ("en", ("a point", "six piston"), [("point six", (0.6,))]),
        ("fr", ("vingt", "vingt-cinq"), [("vingt cinq", (25.0,))]),
        ("fr", ("quatre virgule", "vingt-cinq"), [("quatre virgule vingt cinq", (4.25,))]),
    ],
)
def test_a_number_cut_by_a_line_is_one_and_a_restart_counts_once(
    lang: Lang, lines: tuple[str, ...], found: list[Read]
) -> None:
    assert read(say(lang, *lines)) == found
