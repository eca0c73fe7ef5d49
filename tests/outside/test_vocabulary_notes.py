"""The word lists read notes that they were not made from: of ear surgeons, and of every other trade.

Ear notes: the trade words that no form covers are printed, to be added where any ear surgeon would say
them. Other notes: words of all surgery (incision, suture, skin, lidocaine) are as true there as here. False
are the things that only an ear has, so the harm is counted on structures, landmarks, implants, grafts,
diseases and procedures; the concepts that all surgery shares are named in ``SHARED``.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from otochron.lexicon import Lexicon, load
from otochron.lexicon.check import say

CEILING = 8.0
"""Things of the ear per 1000 words of other trades: what was measured, with room for a fifth more."""
EAR_KINDS = {"structure", "landmark", "implant", "graft", "disease", "procedure", "approach", "side"}
SHARED = frozenset(
    (
        *("vessel", "skin", "canal-skin"),
        *(
            "bone",
            "subcutaneous-tissue",
            "internal-carotid-artery",
        ),
        *("allergy", "cavity", "quadrant", "dura-mater", "cerebrospinal-fluid", "fat-graft", "ear", "periosteum"),
    )
)
RARE = 3.7
"""Words rarer than this (Zipf scale) are likely words of a trade."""


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


def test_trade_words_of_ear_notes_that_no_form_covers(outside: Path, lexicon: Lexicon) -> None:
    wordfreq = pytest.importorskip("wordfreq", reason="wordfreq is not installed")
    unknown: Counter[str] = Counter()
    rare = 0
    for note in json.loads((outside / "notes" / "ear_notes.json").read_text("utf-8")):
        words = say(note["text"], "en")
        covered = {n for hit in lexicon.finder.find(words) for n in range(hit.first, hit.last)}
        for n, word in enumerate(words):
            if word.key.isalpha() and len(word.key) > 3 and wordfreq.zipf_frequency(word.key, "en") < RARE:
                rare += 1
                unknown[word.key] += n not in covered
    unknown = +unknown
    print(
        f"\n{rare} rare words, {unknown.total()} not covered:",
        ", ".join(w for w, _ in unknown.most_common(60)),
    )
    assert unknown.total() / rare <= 0.4


def test_false_mentions_in_notes_of_other_trades(outside: Path, lexicon: Lexicon) -> None:
    words = 0
    found: Counter[str] = Counter()
    for text in (outside / "notes" / "other_notes.jsonl").read_text("utf-8").splitlines():
        stream = say(json.loads(text)["text"], "en")
        words += len(stream)
        found.update(hit.concepts[0] for hit in lexicon.finder.find(stream))
    false = Counter({c: n for c, n in found.items() if lexicon[c].kind in EAR_KINDS and c not in SHARED})
    rate = 1000 * false.total() / words
    print(f"\n{words} words; all {1000 * found.total() / words:.1f}, things of the ear {rate:.2f} per 1000 words")
    print(", ".join(f"{c} {1000 * n / words:.2f}" for c, n in false.most_common(40)))
    shared = sum(n for c, n in found.items() if c in SHARED)
    print(f"shared by all surgery and not counted: {1000 * shared / words:.2f}")
    assert rate <= CEILING
