"""What was made quick says the same as the slow and obvious way."""

from __future__ import annotations

import json
import random
from itertools import accumulate
from pathlib import Path

import numpy as np
import pytest

from otochron.api import extract
from otochron.lexicon import Lexicon, load
from otochron.lexicon.weights import load_weights
from otochron.model import Record, dump_record, encode_record
from otochron.readers import read_bytes
from otochron.stages.clauses import gap_scores, seen_words
from otochron.stages.registers import REGISTERS, register_evidence, register_scores
from otochron.stages.repair.candidates import candidates
from otochron.stages.repair.find import shipped_ngrams
from otochron.stages.repair.judge import reasons_of, terms, told
from otochron.stages.steps.knowledge import knowledge
from otochron.stages.steps.reader import GRAIN, Reader, load_reader
from otochron.stages.steps.units import read_telling
from otochron.text.segments import cut, gap_evidence, score, spoken_evidence
from otochron.text.stream import _make_stream, heard_words, words

SAMPLE = Path(__file__).parents[2] / "samples/stapedotomy-right/transcript.md"


@pytest.fixture(scope="module")
def record() -> Record:
    return extract(read_bytes(SAMPLE.read_bytes(), SAMPLE.name))


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


def test_words_kept_by_the_language_stage_are_those_of_the_lines(record: Record) -> None:
    assert words(record) == _make_stream(record.lines, record.repairs, heard=False)
    assert heard_words(record) == _make_stream(record.lines, (), heard=True)


def test_heard_words_of_a_record_without_repairs_are_its_words(record: Record) -> None:
    plain = record.evolve(repairs=(), lines=tuple(line.evolve(text=line.heard) for line in record.lines))
    assert heard_words(plain) == _make_stream(plain.lines, (), heard=True)


def test_a_finder_finds_the_same_in_a_copy_of_the_stream(record: Record, lexicon: Lexicon) -> None:
    stream = words(record)
    for finder in (lexicon.finder, lexicon.side_finder, lexicon.cue_finder("negation-thing")):
        assert finder.find(stream) == finder.find(list(stream))


def test_register_scores_are_evidence_times_weights(record: Record, lexicon: Lexicon) -> None:
    stream = words(record)
    seen, weights = seen_words(stream, lexicon), load_weights("clauses")["register"]
    for first in range(0, len(stream) - 12, 7):
        here, what = stream[first : first + 12], seen[first : first + 12]
        evidence = register_evidence(here, what)
        assert register_scores(here, what, weights) == {name: score(evidence, weights[name]) for name in REGISTERS}


def test_gap_scores_are_evidence_times_weights(record: Record, lexicon: Lexicon) -> None:
    stream = words(record)
    seen, weights = seen_words(stream, lexicon), load_weights("clauses")
    found = gap_scores(stream, seen, weights, timed=False)
    for n in range(1, len(stream)):
        slow = score(gap_evidence(stream, seen, n), weights["gap"])
        assert found[n] == slow + score(spoken_evidence(stream, n, timed=False), weights["spoken"])


def test_cut_is_the_best_of_all_cuttings() -> None:
    rng = random.Random(7)
    for _ in range(20):
        gaps = [rng.uniform(-2, 2) for _ in range(9)]
        lengths = [rng.uniform(-1, 1) for _ in range(4)]

        def worth(starts: list[int], gaps: list[float] = gaps, lengths: list[float] = lengths) -> float:
            ends = [*starts[1:], len(gaps)]
            sizes = [lengths[min(b - a, len(lengths)) - 1] for a, b in zip(starts, ends, strict=True)]
            return list(accumulate([*sizes, *(gaps[a] for a in starts if a)]))[-1]

        every = [[0, *(n for n in range(1, 9) if mask >> n & 1)] for mask in range(0, 512, 2)]
        assert worth(cut(gaps, lengths)) == pytest.approx(max(map(worth, every)))


@pytest.mark.parametrize("value", [None, 4.25, 1e-05, 0.00012, 3.1e17, 1e16, -2.5e-07])
def test_a_record_is_written_as_json_would(record: Record, value: float | None) -> None:

    odd = record.evolve(
        measurements=tuple(one.model_copy(update={"value": value}) for one in record.measurements),
        lines=tuple(line.evolve(text=line.text + ' "œ\u2028\x07\\é"') for line in record.lines[:3]),
    )
    plain = json.dumps(odd.model_dump(mode="json", by_alias=True), ensure_ascii=False, indent=2) + "\n"
    assert encode_record(odd) == plain.encode() == dump_record(odd).encode()


def test_weights_of_the_reader_in_grains_are_those_in_numbers(record: Record, lexicon: Lexicon) -> None:
    known = knowledge(lexicon)
    grains = load_reader(known)
    steps = [*(entry.alias or entry.id for entry in known.steps), "none"]
    numbers = Reader([*grains.names], steps, grains.weights.astype(np.float32) / GRAIN, known)
    telling = read_telling(record, lexicon)
    assert (grains.read(telling) == numbers.read(telling)).all()


def test_reasons_of_many_candidates_are_the_terms_of_each(record: Record, lexicon: Lexicon) -> None:
    weights = load_weights("repair")
    found = candidates(record, lexicon, shipped_ngrams())[1]
    assert reasons_of(found, weights) == [told(terms(one.features, weights)) for one in found]
