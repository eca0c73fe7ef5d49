"""Language by word on outside text of known language, spliced at random places, beside a general detector."""

from __future__ import annotations

import csv
import json
import random
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from otochron.lexicon import load
from otochron.model import Lang, Line, Record
from otochron.stages.language import find_languages
from otochron.text.normal import fold
from otochron.text.stream import Word, split_words, words

LANGUAGES: tuple[Lang, ...] = ("en", "fr")
WORDS = 4000
"""Words of each language taken from each source."""
FEW = 1000
"""A source with fewer words is spliced several times, at other places."""
WINDOW = 5
"""Words that the general detector sees at a time."""
_VOWEL = re.compile("[aeiouy]")
Text = dict[Lang, list[str]]


def spoken(sentences: list[str]) -> list[str]:
    """Words without punctuation and capitals. Numbers in digits are of no language and are left out."""
    found: list[str] = []
    for sentence in sentences:
        text = re.sub(r"\S*\d\S*", " ", sentence.casefold().replace("’", "'"))
        text = re.sub(r"[^\w'\- ]+", " ", text)
        # Abbreviations without a vowel (kg, dl) are of no language either.
        found += [w for w in text.split() if split_words(w) and _VOWEL.search(fold(w))]
    return found[:WORDS]


def spacy_examples() -> Text:
    from spacy.lang.en.examples import sentences as english
    from spacy.lang.fr.examples import sentences as french

    return {"en": spoken(english), "fr": spoken(french)}


def declarations(outside: Path) -> Text:
    return {
        lang: spoken((outside / "language" / f"udhr_{lang}.txt").read_text("utf-8").splitlines()[1:])
        for lang in LANGUAGES
    }


def clinical(outside: Path) -> Text:
    with (outside / "negation" / "clinical_events.tsv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    # Cases with an even number were looked at while this was built.
    rows = [row for row in rows if int(re.sub(r"\D", "", row["doc"])) % 2]
    return {
        lang: spoken(list(dict.fromkeys(row["sentence"] for row in rows if row["lang"] == lang))) for lang in LANGUAGES
    }


def read_aloud(outside: Path) -> Text:
    """Operative notes and cases as a real recogniser heard them, with its mistakes."""
    found: Text = {}
    for lang, names in (("en", "mts*.json"), ("fr", "FR*.json")):
        texts = []
        for path in sorted((outside / "recogniser").glob(names)):
            texts += [segment["text"] for segment in segments(json.loads(path.read_text("utf-8")))]
        found[lang] = spoken(texts)
    return found


def segments(loaded: object) -> Iterator[dict[str, str]]:
    """Whatever has a text and stands in a list of segments."""
    if isinstance(loaded, dict):
        if "segments" in loaded:
            yield from loaded["segments"]
        else:
            for value in loaded.values():
                yield from segments(value)
    elif isinstance(loaded, list):
        for value in loaded:
            yield from segments(value)


def spliced(text: Text, rng: random.Random, low: int, high: int) -> list[tuple[str, Lang]]:
    """Pieces of ``low`` to ``high`` words of each language in turn."""
    made: list[tuple[str, Lang]] = []
    place = {"en": 0, "fr": 0}
    lang: Lang = "en"
    while place[lang] < len(text[lang]):
        size = rng.randint(low, high)
        made += [(word, lang) for word in text[lang][place[lang] : place[lang] + size]]
        place[lang] += size
        lang = "fr" if lang == "en" else "en"
    return made


def record_of(text: list[tuple[str, Lang]], per_line: int = 11) -> tuple[Record, list[Lang]]:
    """Lines cut without regard to anything, and the true language of each word of the stream."""
    lines, truth = [], []
    for n in range(0, len(text), per_line):
        said = " ".join(word for word, _ in text[n : n + per_line])
        lines.append(Line(id=f"line-{n}", start_ms=0, end_ms=0, heard=said, text=said))
        for word, lang in text[n : n + per_line]:
            truth += [lang] * len(split_words(word))
    return Record(lines=tuple(lines)), truth


def general_detector(stream: tuple[Word, ...]) -> list[Lang]:
    """``lingua`` with a window of words around each word, told that there are two languages only."""
    lingua = pytest.importorskip("lingua")
    detector = lingua.LanguageDetectorBuilder.from_languages(lingua.Language.ENGLISH, lingua.Language.FRENCH).build()
    found: list[Lang] = []
    for n in range(len(stream)):
        near = " ".join(w.text for w in stream[max(0, n - WINDOW // 2) : n + WINDOW // 2 + 1])
        found.append("fr" if detector.detect_language_of(near) == lingua.Language.FRENCH else "en")
    return found


def share_right(found: list[Lang], truth: list[Lang]) -> float:
    return sum(a == b for a, b in zip(found, truth, strict=True)) / len(truth)


SOURCES = ("spacy examples", "declarations", "clinical", "read aloud")


def source(name: str, outside: Path) -> Text:
    makers = {"declarations": declarations, "clinical": clinical, "read aloud": read_aloud}
    return spacy_examples() if name == "spacy examples" else makers[name](outside)


@pytest.mark.parametrize(("low", "high", "floor"), [(4, 20, 0.985), (3, 3, 0.95)])
def test_spliced_text(low: int, high: int, floor: float, outside: Path) -> None:
    right = general = total = 0.0
    for name in SOURCES:
        text = source(name, outside)
        rng = random.Random(f"{name} {low}")
        made = [pair for _ in range(max(1, FEW // len(text["fr"]))) for pair in spliced(text, rng, low, high)]
        record, truth = record_of(made)
        found = [word.language for word in words(find_languages(record, load()))]
        ours, other = share_right(found, truth), share_right(general_detector(words(record)), truth)
        print(f"\n{name}, runs of {low} to {high} words, {len(truth)} words: {ours:.4f}; general detector {other:.4f}")
        assert ours > other + 0.05
        right, general, total = right + ours * len(truth), general + other * len(truth), total + len(truth)
    print(f"\nall, runs of {low} to {high} words: {right / total:.4f}; general detector {general / total:.4f}")
    assert right / total >= floor
