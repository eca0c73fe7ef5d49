"""Sounds against gruut (MIT), an independent source with phonetic lexicons of both languages.

The reference is finer than our broad set, so its phones are merged first. Its English lexicon is
American and has one vowel for *father* and *box*; o and a count as the same where it has that vowel.
It goes back in part to the same dictionary that we pack, so the English figures for known words show that
packing loses little; ``test_english_rules_alone`` is the independent one. French shares nothing with it.
"""

import importlib
import os
import random
import sqlite3
from pathlib import Path

import pytest
from rapidfuzz.distance import Levenshtein

from otochron.text.phone_distance import distances
from otochron.text.sound_data import spelling_rules
from otochron.text.sounds import phones

pytest.importorskip("gruut", reason="gruut is not installed")

BROAD = {
    "fr": {
        "ɛ": "e", "ɔ": "o", "ɑ": "a", "ø": "@", "œ": "@", "ə": "@", "ɑ̃": "aN", "ɛ̃": "eN", "ɔ̃": "oN",
        "œ̃": "eN", "ʁ": "r",
        "ɡ": "g", "ɲ": "nj", "ŋ": "n", "ɥ": "y",
    },
    "en": {
        "ɑ": "A", "æ": "a", "ʌ": "a", "ɔ": "o", "aʊ": "au", "aɪ": "ai", "ɛ": "e", "ɝ": "@r", "ɚ": "@r",
        "eɪ": "ei", "ɪ": "i",
        "oʊ": "ou", "ɔɪ": "oi", "ʊ": "u", "ə": "@", "ɡ": "g", "ɹ": "r", "ŋ": "n", "t͡ʃ": "tʃ",
        "d͡ʒ": "dʒ", "ɾ": "t",
    },
}  # fmt: skip
FEWEST = 200


def reference(lang):
    """Word → readings of the reference, in broad phones."""
    package = pytest.importorskip(f"gruut_lang_{lang}", reason=f"gruut's data for {lang} are not installed")
    lexicon = sqlite3.connect(Path(package.__file__).parent / "lexicon.db")
    readings = {}
    for word, phonemes in lexicon.execute("select word, phonemes from word_phonemes"):
        bare = (phone.strip("ˈˌː‿|‖").replace("ː", "") for phone in phonemes.split())
        readings.setdefault(word, []).append("".join(BROAD[lang].get(phone, phone) for phone in bare))
    return readings


def error_rate(lang, words, say, readings):
    """Phone error rate, share of words the same, mean graded distance; nearest reading counts."""
    errors = total = same = 0
    pairs = []
    for word in words:
        said = say(word)
        choices = [reading.replace("A", vowel) for reading in readings[word] for vowel in "oa"]
        best = min(choices, key=lambda reading: Levenshtein.distance(said, reading) / max(1, len(reading)))
        errors += Levenshtein.distance(said, best)
        total += len(best)
        same += said == best
        pairs.append((said, best))
    mean = distances([a for a, _ in pairs], [b for _, b in pairs]).mean()
    rate = errors / total
    print(f"\n{lang}: {len(words)} words, phone error rate {rate:.3f}", end=", ")
    print(f"the same {same / len(words):.2f}, distance {mean:.3f}")
    return rate


def common_words(lang, readings, count):
    """The most common plain words that the reference knows."""
    wordfreq = importlib.import_module("wordfreq")
    words = [w for w in wordfreq.top_n_list(lang, count) if w in readings and w.isalpha() and len(w) > 1]
    assert len(words) > FEWEST
    return words


@pytest.mark.parametrize(("lang", "limit"), [("fr", 0.02), ("en", 0.03)])
def test_common_words(lang, limit):
    readings = reference(lang)
    words = common_words(lang, readings, 3000)
    assert error_rate(lang, words, lambda word: phones(word, lang), readings) <= limit


@pytest.mark.parametrize(("lang", "limit"), [("fr", 0.035), ("en", 0.04)])
def test_any_words(lang, limit):
    """Drawn by chance from the reference's whole lexicon: rare words, names and inflections."""
    readings = reference(lang)
    known = sorted(word for word in readings if word.isalpha() and word.islower() and len(word) > 3)
    words = random.Random(5).sample(known, 3000)
    assert error_rate(f"{lang}, any", words, lambda word: phones(word, lang), readings) <= limit


def test_english_rules_alone():
    """What a word outside the dictionary is worth: long everyday words, which the rules were not made for."""
    readings = reference("en")
    words = [word for word in common_words("en", readings, 8000) if len(word) > 6]
    assert error_rate("en, rules alone", words, spelling_rules("en").read, readings) <= 0.16


@pytest.mark.parametrize(("lang", "column", "limit"), [("fr", "french", 0.02), ("en", "english", 0.03)])
def test_ear_terms(lang, column, limit):
    """Words of published ear terms that the reference has."""
    folder = os.environ.get("OTOCHRON_OUTSIDE_DATA")
    table = Path(folder, "terms", "ear_terms.tsv") if folder else None
    if table is None or not table.exists():
        pytest.skip("no outside data: OTOCHRON_OUTSIDE_DATA names no folder with terms/ear_terms.tsv")
    head, *rows = (line.split("\t") for line in table.read_text(encoding="utf-8").splitlines())
    terms = " ".join(row[head.index(column)] for row in rows).lower().replace("'", " ").replace("-", " ")
    readings = reference(lang)
    words = sorted({word for word in terms.split() if word.isalpha() and len(word) > 1 and word in readings})
    assert error_rate(f"{lang}, ear terms", words, lambda word: phones(word, lang), readings) <= limit
