"""The samples as the stages see them: the record read from the transcript, and what gold says of each word heard."""

from __future__ import annotations

import json
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache
from pathlib import Path

from conftest import SAMPLES
from otochron.model import Record
from otochron.readers import read_bytes
from otochron.text.normal import key
from otochron.text.stream import split_words, words


@dataclass(frozen=True)
class Gold:
    """One sample: for each word of the stream, language and number of its sentence (None where not aligned)."""

    name: str
    record: Record
    languages: tuple[str | None, ...]
    sentences: tuple[int | None, ...]
    registers: tuple[str, ...]
    mentions_request: tuple[bool, ...]
    report: bool


@lru_cache(maxsize=16)
def read_gold(folder: Path) -> Gold:
    """Read a sample and align the words of its gold sentences to the words of its transcript."""
    gold = json.loads((folder / "gold.json").read_text("utf-8"))
    transcript = next(folder.glob("transcript.*"))
    record = read_bytes(transcript.read_bytes(), transcript.name)
    said: list[tuple[str, str, int]] = []
    for n, sentence in enumerate(gold["sentences"]):
        for run in sentence["runs"]:
            said += [(key(run["heard"][a:b]), run["lang"], n) for a, b in split_words(run["heard"])]
    stream = words(record)
    languages: list[str | None] = [None] * len(stream)
    sentences: list[int | None] = [None] * len(stream)
    matcher = SequenceMatcher(None, [w.key for w in stream], [w for w, _, _ in said], autojunk=False)
    for a, b, size in matcher.get_matching_blocks():
        for k in range(size):
            _, languages[a + k], sentences[a + k] = said[b + k]
    return Gold(
        folder.name,
        record,
        tuple(languages),
        tuple(sentences),
        tuple(sentence["register"] for sentence in gold["sentences"]),
        tuple(any(s["start"] <= r["time"] <= s["end"] for r in gold["requests"]) for s in gold["sentences"]),
        bool(gold.get("report")),
    )


def sample_folders() -> list[Path]:
    return sorted(path.parent for path in SAMPLES.glob("*/gold.json"))
