"""Language, clauses and registers on the samples as they were heard, before any repair.

Samples marked ``report`` are not tuned on; they are printed and held to the same floors.
"""

from __future__ import annotations

from collections import Counter
from functools import lru_cache

import pytest

from gold_samples import Gold, read_gold, sample_folders
from otochron.lexicon import load
from otochron.model import Clause, Record
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.text.stream import Places, words

FOLDERS = sample_folders()


@lru_cache(maxsize=16)
def run(name: str) -> tuple[Gold, Record]:
    gold = read_gold(next(folder for folder in FOLDERS if folder.name == name))
    return gold, find_clauses(find_languages(gold.record, load()), load())


def ranges(record: Record) -> list[tuple[int, int, Clause]]:
    places = Places(words(record), record.lines)
    return [(places.first(c.span), places.last(c.span), c) for c in record.clauses]


def window_scores(truth: set[int], found: set[int], total: int) -> tuple[float, float]:
    """Pk (Beeferman et al. 1999) and WindowDiff (Pevzner & Hearst 2002); the window is half the mean length."""
    size = max(2, round(total / max(1, len(truth)) / 2))
    wrong = different = 0
    for n in range(total - size):
        a = sum(k in truth for k in range(n + 1, n + size + 1))
        b = sum(k in found for k in range(n + 1, n + size + 1))
        wrong += (a > 0) != (b > 0)
        different += a != b
    return wrong / (total - size), different / (total - size)


def request_counts(gold: Gold, record: Record) -> tuple[int, int, int, int]:
    """Requests of gold that are found, requests of gold, found requests that are right, found requests.

    One is matched where most of its words lie in requests of the other. A sentence of narration may hold a
    request ("i cut here joint knife please"): a clause found there is right, but not looked for.
    """
    heard = [n is not None and gold.registers[n] == "request" for n in gold.sentences]
    mentions = [n is not None and (gold.registers[n] == "request" or gold.mentions_request[n]) for n in gold.sentences]
    asked = [False] * len(heard)
    right = found = 0
    for first, last, clause in ranges(record):
        if clause.register_ == "request":
            asked[first:last] = [True] * (last - first)
            found += 1
            right += 2 * sum(mentions[first:last]) > last - first
    size, covered = Counter[int](), Counter[int]()
    for n, (sentence, is_request, is_asked) in enumerate(zip(gold.sentences, heard, asked, strict=True)):
        if is_request and sentence is not None:
            size[sentence] += 1
            covered[sentence] += asked[n] and is_asked
    hit = sum(2 * covered[n] > size[n] for n in size)
    return hit, len(size), right, found


@pytest.mark.parametrize("name", [folder.name for folder in FOLDERS])
def test_language_by_word(name: str) -> None:
    gold, record = run(name)
    pairs = [(w.language, g) for w, g in zip(words(record), gold.languages, strict=True) if g]
    share = sum(a == b for a, b in pairs) / len(pairs)
    print(f"\n{name}{' (report)' * gold.report}: language by word {share:.4f}")
    assert share >= 0.975


def test_clauses_against_gold_sentences() -> None:
    for name in [folder.name for folder in FOLDERS]:
        gold, record = run(name)
        numbers = gold.sentences
        truth = {n for n in range(1, len(numbers)) if numbers[n] is not None and numbers[n] != numbers[n - 1]}
        found = {first for first, _, _ in ranges(record)} - {0}
        pk, difference = window_scores(truth, found, len(numbers))
        hit = len(truth & found)
        print(
            f"\n{name}{' (report)' * gold.report}: Pk {pk:.3f}, WindowDiff {difference:.3f}, "
            f"boundaries {hit} of {len(truth)}, found {len(found)}"
        )
        assert difference < 0.6


def test_requests() -> None:
    totals = [0, 0, 0, 0]
    for name in [folder.name for folder in FOLDERS]:
        gold, record = run(name)
        counts = request_counts(gold, record)
        print(
            f"\n{name}{' (report)' * gold.report}: requests {counts[0]} of {counts[1]}, right {counts[2]} of {counts[3]}"
        )
        if not gold.report:
            totals = [a + b for a, b in zip(totals, counts, strict=True)]
    recall, precision = totals[0] / totals[1], totals[2] / totals[3]
    print(f"\nnot reported: recall {recall:.3f}, precision {precision:.3f}")
    assert recall >= 0.66
    assert precision >= 0.86
