"""Broad sounds of words and the distance between them."""

import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otochron.text.phone_distance import distance, distances
from otochron.text.sound_data import spelling_rules
from otochron.text.sounds import PHONES, merged, phone_variants, phones, phrase_phones

PHONE_STRINGS = st.text(alphabet=PHONES, max_size=14)

FRENCH = [
    ("tympan", "teNpaN"),
    ("enclume", "aNklym"),
    ("étrier", "etrije"),
    ("fenêtre", "f@netr"),
    ("cochlée", "kokle"),
    ("cholestéatome", "kolesteatom"),
    ("trachéotomie", "trakeotomi"),
    ("trachée", "traʃe"),
    ("aiguille", "egyij"),
    ("maxillaire", "maksiler"),
    ("patient", "pasjaN"),
    ("maintient", "meNtjeN"),
    ("récipient", "resipjaN"),
    ("sinus", "sinys"),
    ("tissus", "tisy"),
    ("question", "kestjoN"),
    ("fonction", "foNksjoN"),
    ("examen", "egzameN"),
    ("œdème", "edem"),
    ("oedème", "edem"),
    ("œil", "@j"),
    ("l’étrier", "letrije"),
    ("aujourd'hui", "oʒurdyi"),
    ("incudo-stapédienne", "eNkydostapedjen"),
    ("77", "swasaNtdiset"),
    ("81", "katr@veNeN"),
]
ENGLISH = [
    ("stapes", "steipiz"),
    ("malleus", "mali@s"),
    ("tympanoplasty", "timpanoplasti"),
    ("stapedotomy", "stapedot@mi"),
    ("perichondrium", "perikondri@m"),
    ("footplate", "futpleit"),
    ("state", "steit"),
    ("box", "boks"),
    ("father", "fað@r"),
    ("drilled", "drild"),
    ("curettes", "kjurets"),
    ("42", "fortitu"),
    ("CSF", "siesef"),
    ("fenêtre", "fenet@r"),
]


@pytest.mark.parametrize(("word", "sounds"), FRENCH)
def test_french_words_by_rule(word, sounds):
    assert phones(word, "fr") == sounds


@pytest.mark.parametrize(("word", "sounds"), ENGLISH)
def test_english_words_by_dictionary_ending_or_rule(word, sounds):
    assert phones(word, "en") == sounds


@pytest.mark.parametrize(
    ("word", "lang", "sounds"),
    [
        ("VII", "fr", "set"),
        ("VII", "en", "sev@n"),
        ("csl", "fr", "seesel"),
        ("PORP", "en", "porp"),
        ("mm", "fr", "milimetr"),
    ],
)
def test_abbreviations_and_roman_numerals(word, lang, sounds):
    assert phones(word, lang) == sounds


@pytest.mark.parametrize("lang", ["en", "fr"])
@pytest.mark.parametrize("word", ["", "…", "²", "½", "—", "'", "日本", "ß", "İ", "x" * 80, "a1b2"])
def test_odd_words_give_phones_or_nothing(word, lang):
    assert set(phones(word, lang)) <= set(PHONES)


@given(st.text(max_size=20), st.sampled_from(["en", "fr"]))
def test_any_text_gives_only_phones_of_the_set(text, lang):
    assert set(phones(text, lang)) <= set(PHONES)
    for variant in phone_variants(text, lang):
        assert set(variant) <= set(PHONES)


def test_tables_use_only_phones_of_the_set():
    for lang in ("en", "fr"):
        rules = spelling_rules(lang)
        sounds = {sound for group in rules.by_letter.values() for _, sound in group}
        for name, table in (("words", rules.words), ("letters", rules.letters), ("numbers", rules.numbers)):
            assert set("".join(table.values())) <= set(PHONES), (lang, name)
        assert set("".join(sounds)) <= set(PHONES)


def test_french_variants_sound_the_schwa_and_the_linking_consonant():
    assert phone_variants("platine", "fr") == ("platin", "platin@")
    assert phone_variants("conduit", "fr") == ("koNdyi", "koNdyit")
    assert phone_variants("os", "fr") == ("os",)


def test_phrase_runs_words_together():
    assert phrase_phones(["la", "fenêtre", "ovale"], "fr") == "laf@netroval"


def test_merged_drops_voice_and_nasality():
    assert merged("bdgvz") == merged("ptkfs")
    assert merged("teNpaN") == "tenpan"


@given(PHONE_STRINGS, PHONE_STRINGS)
def test_distance_is_symmetric_and_bounded(one, other):
    there = distance(one, other)
    assert there == distance(other, one)
    assert 0 <= there <= 2
    assert (there == 0) == (one == other)


@given(st.lists(st.tuples(PHONE_STRINGS, PHONE_STRINGS), max_size=12))
def test_batch_agrees_with_the_slow_way(pairs):
    from otochron.text.phone_distance import _CHANGE, _DROPPED

    def slow(one, other):
        a, b = ([PHONES.index(c) + 1 for c in text] for text in (one, other))
        rows = [[0] * (len(b) + 1) for _ in range(len(a) + 1)]
        for i in range(len(a) + 1):
            for j in range(len(b) + 1):
                ways = []
                if i:
                    ways.append(rows[i - 1][j] + _DROPPED[a[i - 1]])
                if j:
                    ways.append(rows[i][j - 1] + _DROPPED[b[j - 1]])
                if i and j:
                    ways.append(rows[i - 1][j - 1] + _CHANGE[a[i - 1], b[j - 1]])
                rows[i][j] = min(ways, default=0)
        total = sum(_DROPPED[c] for c in a + b)
        return 2 * rows[-1][-1] / total if total else 0

    batch = distances([a for a, _ in pairs], [b for _, b in pairs])
    assert list(batch) == pytest.approx([slow(a, b) for a, b in pairs])


@pytest.mark.parametrize(
    ("near", "far"),
    [
        (("teNpaN", "timpan"), ("teNpaN", "teskas")),  # nasal vowels
        (("bak", "pak"), ("bak", "sak")),  # voice
        (("θin", "sin"), ("θin", "kin")),  # th
        (("rand", "and"), ("kand", "and")),  # weak r
        (("ry", "ru"), ("ry", "ra")),  # u and ou
        (("fors@", "fors"), ("forsa", "fors")),  # schwa
        (("platin", "platint"), ("platin", "platinp")),  # final t
    ],
)
def test_costs_are_graded(near, far):
    assert distance(*near) < distance(*far)


def test_distances_refuses_unpaired_lists():
    with pytest.raises(ValueError, match="paired"):
        distances(["a"], [])


def test_five_thousand_pairs_take_no_time():
    words = ["teNpaN", "aNklym", "steipiz", "mastoidekt@mi", "kolesteatom"]
    one, other = [words[i % 5] for i in range(5000)], [words[i % 4] for i in range(5000)]
    started = time.perf_counter()
    distances(one, other)
    assert time.perf_counter() - started < 0.5  # 0.02 s measured; shared machines are slow at times


def test_dictionary_is_small_and_quick():
    code = (
        "import tracemalloc, time; from otochron.text.sounds import phones; tracemalloc.start();"
        "s = time.perf_counter(); phones('state', 'en'); phones('tympan', 'fr');"
        "print(time.perf_counter() - s, tracemalloc.get_traced_memory()[0])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    seconds, held = run.stdout.split()
    assert float(seconds) < 1.0  # 0.05 s measured without tracing
    assert float(held) < 25e6
