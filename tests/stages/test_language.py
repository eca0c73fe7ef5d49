from __future__ import annotations

import pytest

from build import say
from otochron.lexicon import load
from otochron.model import LanguageSpan, Record
from otochron.stages.language import find_languages, mixing
from otochron.text.stream import words


def marked(record: Record) -> str:
    """Words of French in upper case."""
    return " ".join(w.text.upper() if w.language == "fr" else w.text for w in words(record))


@pytest.mark.parametrize(
    "spoken",
    [
        "so now i raise the flap ON DÉCOLLE DOUCEMENT JUSQU' À L' ANNULUS and we are in",
        "we look at the ÉTRIER and it moves well",
        "ALORS ON COUPE LE TENDON DE L' ÉTRIER AVEC LES CISEAUX",
        "so we cut the tendon of the stapes with the scissors",
    ],
)
def test_each_word_has_its_language(spoken: str) -> None:
    record = find_languages(say(None, spoken.lower().replace("' ", "'")), load())
    assert marked(record) == spoken


def test_spans_cover_every_word_and_touch() -> None:
    record = find_languages(say(None, "  okay donc on y va, the flap is up ", "et voilà"), load())
    for line in record.lines:
        assert all(a.end == b.start for a, b in zip(line.languages, line.languages[1:], strict=False))
        assert all(a.language != b.language for a, b in zip(line.languages, line.languages[1:], strict=False))
    for word in words(record):
        line = next(line for line in record.lines if line.id == word.line)
        assert any(s.start <= word.start and word.end <= s.end for s in line.languages)


def test_what_the_input_says_wins() -> None:
    record = say(None, "position on the drum")
    given = (LanguageSpan(start=0, end=11, language="fr"),)
    record = record.evolve(lines=tuple(line.evolve(given=given) for line in record.lines))
    assert marked(find_languages(record, load())).startswith("POSITION ON")


def test_code_mixing_index() -> None:
    found = mixing(["en", "fr", "fr", "fr", "en"])
    assert (found.en, found.fr, found.switches, found.code_mixing_index) == (0.4, 0.6, 2, 40.0)


def test_empty_record_stays_empty() -> None:
    assert find_languages(Record(), load()) == Record()


@pytest.mark.parametrize("word", ["so", "voilà", "okay", "piston", "dissection"])
@pytest.mark.parametrize(
    ("before", "after", "lang"),
    [
        ("maintenant on va décoller le lambeau", "je coupe la peau du conduit", "fr"),
        ("now we are going to raise the flap", "i cut the skin of the canal", "en"),
    ],
)
def test_a_word_of_both_languages_takes_the_one_around_it(before: str, word: str, after: str, lang: str) -> None:
    record = find_languages(say(None, f"{before} {word} {after}"), load())
    assert {w.language for w in words(record)} == {lang}


def test_borrowed_trade_words_do_not_turn_the_sentence() -> None:
    text = "donc on met le packing dans l'attique avec le shaver et on enlève le shaver doucement"
    found = [w for w in words(find_languages(say(None, text), load())) if w.language == "en"]
    assert {w.text for w in found} <= {"packing", "shaver"}


def test_misheard_words_take_the_language_around() -> None:
    record = find_languages(say(None, "on voit bien le tendon du stapédius et la platrine de l'étriller"), load())
    assert {w.language for w in words(record)} == {"fr"}
