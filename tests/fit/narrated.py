"""Training narrations as timed recordings: words with times, misheard by process, in the five input formats.

Used by the fits that need whole recordings. ``told`` gives the record after the stages before the steps, and the true
step of every moment.
"""

from __future__ import annotations

import importlib
import random
import sys
import zlib
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

import sample_formats  # noqa: E402
from build_samples import EVERYDAY_ERRORS, Heard, duration, misheard  # noqa: E402
from otochron.lexicon import Lexicon  # noqa: E402
from otochron.model import Record  # noqa: E402
from otochron.readers import read_bytes  # noqa: E402
from otochron.text.stream import with_languages, words  # noqa: E402
from script import Script, Statement, read_folder  # noqa: E402

NARRATIONS = ROOT / "tests" / "narrations"
TELLINGS = ROOT / "tests" / "tellings"
STAGES = (
    ("language", "find_languages"),
    ("clauses", "find_clauses"),
    ("repair", "find_repairs"),
    ("language", "find_languages"),
    ("clauses", "find_clauses"),
    ("mentions", "find_mentions"),
    ("measurements", "read_measurements"),
    ("status", "read_status"),
    ("references", "link_references"),
)
"""The stages that steps and later stages build on."""
FORMATS = ("segments", "webvtt", "blocks", "srt", "ttml")


@dataclass
class Told:
    """One narration as a recording: ``segments`` are (start, end, step or None) in seconds, over the whole time."""

    name: str
    header: dict[str, str]
    record: Record
    segments: list[tuple[float, float, str | None]]


def told(script: Script, lexicon: Lexicon, seed: int, errors: float) -> Told:
    """Give one narration as a recording, after ``STAGES``.

    ``errors`` is the share of trade words that are misheard; a tenth of that for other words.
    """
    rng = random.Random(zlib.crc32(f"{script.path.stem} {seed}".encode()))
    heard, segments = hear(script, lexicon, rng, errors)
    name, text = sample_formats.FORMATS[FORMATS[(seed + zlib.crc32(script.path.stem.encode())) % len(FORMATS)]](
        heard, rng
    )
    record = read_bytes(text.encode(), f"{script.path.stem}.{name}")
    for module, name in STAGES:
        stage = getattr(importlib.import_module(f"otochron.stages.{module}"), name, None)
        record = stage(record, lexicon) if stage else record
    return Told(script.path.stem, script.header, record, segments)


def condensed(script: Script, seed: int, *, shuffled: bool) -> Script:
    """Give a narration in which each act is told in one or two statements; ``shuffled``: in any order.

    Short tellings are the other extreme of speech: nothing is said twice, and the order cannot be relied on.
    """
    rng = random.Random(zlib.crc32(f"condensed {script.path.stem} {seed}".encode()))
    runs = [list(run) for _, run in groupby(script.statements, key=lambda statement: statement.step)]
    if shuffled:
        rng.shuffle(runs)
    kept: list[Statement] = []
    for run in runs:
        if run[0].step is None and rng.random() < 0.5:
            continue
        many = min(len(run), rng.choice((1, 1, 2)))
        first = rng.randrange(len(run) - many + 1)
        kept += [replace(statement, pause_before=0.0) for statement in run[first : first + many]]
    return Script(script.path, script.header, kept)


def hear(
    script: Script, lexicon: Lexicon, rng: random.Random, errors: float
) -> tuple[list[Heard], list[tuple[float, float, str | None]]]:
    """Give the recogniser's words of a narration and its true segments."""
    heard: list[Heard] = []
    clock = 1.0
    pieces: list[tuple[float, float, str | None]] = [(0.0, clock, None)]
    for statement in script.statements:
        if statement.pause_before:
            pieces.append((clock, clock + statement.pause_before, statement.pause_step))
            clock += statement.pause_before
        begin = clock
        trade = trade_words(statement.words, statement.languages, lexicon)
        for n, (word, language) in enumerate(zip(statement.words, statement.languages, strict=True)):
            wrong = len(word) > 3 and rng.random() < (errors if n in trade else min(errors / 10, EVERYDAY_ERRORS))
            new = misheard([word], language, rng) if wrong else [word]
            step = duration(word) / len(new)
            heard += [Heard(w, clock + k * step, clock + (k + 1) * step, 0.9, wrong) for k, w in enumerate(new)]
            clock += duration(word) + 0.02
        clock += 0.28 + rng.random() * 0.5
        pieces.append((begin, clock, statement.step))
    merged: list[tuple[float, float, str | None]] = []
    for start, end, step_name in pieces:
        if merged and merged[-1][2] == step_name:
            merged[-1] = (merged[-1][0], end, step_name)
        else:
            merged.append((start, end, step_name))
    return heard, merged


def trade_words(spoken: list[str], languages: list[str], lexicon: Lexicon) -> set[int]:
    """Give the places of the words of the trade."""
    from otochron.model import Line

    text = " ".join(spoken)
    stream = words(Record(lines=(Line(id="line-1", start_ms=0, end_ms=0, heard=text, text=text),)))
    starts: dict[int, int] = {}
    place = 0
    for n, word in enumerate(spoken):
        starts.update(dict.fromkeys(range(place, place + len(word) + 1), n))
        place += len(word) + 1
    tagged = with_languages(stream, [languages[starts[w.start]] for w in stream])  # type: ignore[misc]
    return {starts[tagged[n].start] for hit in lexicon.finder.find(tagged) for n in range(hit.first, hit.last)}


def all_told(lexicon: Lexicon, seed: int, errors: float) -> list[Told]:
    """Give every narration, by name."""
    return [told(script, lexicon, seed, errors) for script in read_folder(NARRATIONS)]


def all_condensed(lexicon: Lexicon, seed: int, errors: float) -> list[Told]:
    """Give every narration condensed; every other one in any order."""
    return [
        told(condensed(script, seed, shuffled=n % 2 == 1), lexicon, seed, errors)
        for n, script in enumerate(read_folder(NARRATIONS))
    ]


def all_statements(lexicon: Lexicon, seed: int, errors: float) -> list[Told]:
    """Give the statements of ``tests/tellings``: what is said during each step, of no one operation."""
    return [told(script, lexicon, seed, errors) for script in read_folder(TELLINGS)]
