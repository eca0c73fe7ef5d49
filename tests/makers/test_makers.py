"""The makers themselves: never the same words, same chance same words, near in sound."""

import random

import pytest

pytest.importorskip("gruut_lang_fr", reason="gruut's French data are not installed")

import makers
from makers import program
from otochron.text.phone_distance import distance
from otochron.text.sounds import phrase_phones

TERMS = {
    "en": [["the", "stapes"], ["incus"], ["chorda", "tympani"], ["tympanoplasty"], ["om"]],
    "fr": [["la", "platine"], ["étrier"], ["la", "corde", "du", "tympan"], ["l'enclume"], ["cholestéatome"]],
}
FAMILIES = [makers.make, program.make]


@pytest.mark.parametrize("make", FAMILIES, ids=["gruut", "program"])
@pytest.mark.parametrize("kind", makers.KINDS)
@pytest.mark.parametrize("lang", ["en", "fr"])
def test_heard_words_differ_and_repeat_with_the_same_chance(make, kind, lang):
    for seed, words in enumerate(TERMS[lang] * 3):
        heard = make(words, lang, kind, random.Random(seed))
        assert heard
        assert all(heard)
        assert not makers.same(heard, words)
        assert heard == make(words, lang, kind, random.Random(seed))


@pytest.mark.parametrize("kind", ["near", "apart", "noise", "cut"])
@pytest.mark.parametrize("lang", ["en", "fr"])
def test_most_errors_are_near_in_sound(kind, lang):
    terms = [words for words in TERMS[lang] if words != ["om"]] * 5
    heard = [makers.make(words, lang, kind, random.Random(seed)) for seed, words in enumerate(terms)]
    gaps = [distance(phrase_phones(a, lang), phrase_phones(b, lang)) for a, b in zip(terms, heard, strict=True)]
    assert sum(gap < 0.5 for gap in gaps) >= 0.8 * len(gaps)


def test_avoided_words_are_not_heard():
    first = makers.make(["incus"], "en", "near", random.Random(1))
    assert makers.make(["incus"], "en", "near", random.Random(1), avoid=set(first)) != first


def test_unknown_kind_is_refused():
    with pytest.raises(ValueError, match="expected one of"):
        makers.make(["incus"], "en", "far", random.Random(1))
