"""The packed lists say what the dictionaries of ``wordfreq`` say."""

import pytest

from otochron.text.frequencies import frequencies
from otochron.text.normal import fold, fold_lines, key
from otochron.text.shares import Shares, listed, read_buckets


@pytest.mark.parametrize("lang", ["en", "fr"])
def test_buckets_are_those_of_the_package(lang):
    from wordfreq import get_frequency_list

    assert [[w.decode() for w in bucket] for bucket in read_buckets(lang)] == get_frequency_list(lang, "large")


@pytest.mark.parametrize("lang", ["en", "fr"])
def test_every_word_has_its_share(lang):
    words = listed(lang)
    words |= {key(word): share for word, share in words.items() if {"œ", "æ"} & set(word)}
    assert [word for word, share in words.items() if frequencies(lang).get(word) != share] == []


def test_small_list():
    shares = Shares([[], [b"the"], [b"a", "cœur".encode()], [b"the", "été".encode()]])
    assert shares.get("a") == shares.get("coeur") == 10**-0.02
    assert shares.get("the") == 10**-0.03, "where a word stands twice, the lower share counts"
    assert shares.get("nothing") is None
    assert shares.get("nothing", 0.0) == 0.0
    assert "été" in shares
    assert [word for word, _ in shares.accented] == ["cœur", "été"]
    assert shares.spelt == ("the", "a", "cœur", "été")


def test_words_of_the_same_bytes_are_not_taken_for_one_another():
    shares = Shares([["火".encode()], [b"kp"]])
    assert shares.get("kp") == 10**-0.01


def test_folding_many_is_folding_each():
    words = ["Étrier", "œdème", "l’os", "ÉPÉE", "naïve", "x"]
    assert fold_lines(words) == [fold(word) for word in words]
