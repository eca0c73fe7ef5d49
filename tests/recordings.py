"""Generated recordings for the tests and benchmarks of batches: stretches of invented talk, cut and joined at random.

Half of the stretches come from ``samples`` (with a recogniser's errors), half from ``tests/narrations`` (as spoken).
No two recordings of one folder are the same; the same seed gives the same folder.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from otochron.readers import read_bytes
from sample_formats import blocks, segments, srt, ttml, webvtt
from script import read_folder

ROOT = Path(__file__).parents[1]
_WORDS_PER_SECOND = 2.4
_FORMATS = (blocks, webvtt, srt, segments, ttml)


@dataclass
class Said:
    """One word with its times in seconds and the recogniser's probability."""

    text: str
    start: float
    end: float
    p: float


@cache
def talk() -> tuple[tuple[str, ...], ...]:
    """Give the words of every sample and narration."""
    samples = sorted((ROOT / "samples").glob("*/transcript.*"))
    heard = [" ".join(line.text for line in read_bytes(p.read_bytes(), p.name).lines) for p in samples]
    spoken = [" ".join(s.text for s in script.statements) for script in read_folder(ROOT / "tests" / "narrations")]
    return tuple(tuple(text.split()) for text in (*heard, *spoken))


def make_recording(minutes: float, seed: int) -> tuple[str, str]:
    """Give the suffix and the text of one recording of about so many minutes."""
    rng = random.Random(seed)
    texts, heard = talk(), len(list((ROOT / "samples").glob("*/transcript.*")))
    words: list[str] = []
    wanted = max(8, round(60 * minutes * _WORDS_PER_SECOND))
    while len(words) < wanted:
        source = rng.choice(texts[:heard] if rng.random() < 0.5 else texts[heard:])
        start = rng.randrange(len(source))
        words += source[start : start + rng.randint(20, 120)]
    clock, said = 0.0, []
    for word in words[:wanted]:
        clock += rng.choice((0.05, 0.1, 0.1, 0.15, 0.6))
        said.append(Said(word, round(clock, 3), round(clock + 0.25, 3), round(rng.uniform(0.5, 1.0), 3)))
        clock += 0.25
    return _FORMATS[seed % len(_FORMATS)](said, rng)


def make_recordings(folder: Path, count: int, minutes: float, seed: int = 0) -> Path:
    """Write so many recordings into folders of fifty."""
    for n in range(count):
        suffix, text = make_recording(minutes, seed * 1_000_003 + n)
        place = folder / f"ward-{n // 50:03d}" / f"case-{n:05d}.{suffix}"
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, "utf-8")
    return folder
