"""Words per second of the whole pipeline beside two baselines in the same run, and how it grows with length.

(a) spaCy blank tokeniser with a PhraseMatcher over the same forms; (b) brute force: rapidfuzz on every window of
one to four words against every lexicon form. Bars: at most 250 times (a), linear from 1 minute to 4 hours, memory
under 400 MB, help at most 3 times ``import click``, 15 minutes of talk from process start to files at most
``import spacy`` + 1.5 s.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "samples"


def spoken() -> list[str]:
    from otochron.readers import read_bytes

    words: list[str] = []
    for path in sorted(SAMPLES.glob("*/transcript.*")):
        for line in read_bytes(path.read_bytes(), path.name).lines:
            words += line.text.split()
    return words


def blocks(words: list[str]) -> bytes:
    lines = [
        f"[{n * 10 // 60}:{n * 10 % 60:02d}] {' '.join(words[n * 25 : n * 25 + 25])}" for n in range(len(words) // 25)
    ]
    return ("\n".join(lines) + "\n").encode()


def seconds(run: Callable[[], object], times: int = 3) -> float:
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


# An installed program is compiled; where Python is told not to write what it compiled, every start would compile anew.
COMPILED = {
    "PYTHONDONTWRITEBYTECODE": "",
    "PYTHONPYCACHEPREFIX": str(Path(tempfile.gettempdir(), "otochron-bench-pyc")),
}


def run(*command: str) -> None:
    subprocess.run([sys.executable, *command], check=True, capture_output=True, env=os.environ | COMPILED)


def process(*command: str) -> float:
    run(*command)
    return seconds(lambda: run(*command))


MEMORY = """
import resource, subprocess, sys
subprocess.run([sys.executable, *sys.argv[1:]], check=True, capture_output=True)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024)
"""


def memory(*command: str) -> int:
    """Peak memory (MB) of a process of its own, asked for by a small one between, so that it is not ours."""
    asked = subprocess.run([sys.executable, "-c", MEMORY, *command], check=True, capture_output=True, text=True)
    return int(asked.stdout)


def main() -> None:
    import spacy
    from rapidfuzz import fuzz
    from rapidfuzz import process as matcher
    from spacy.matcher import PhraseMatcher

    from otochron.api import extract
    from otochron.lexicon import SPOKEN_KINDS, load
    from otochron.readers import read_bytes

    words = spoken()
    lexicon = load()
    forms = sorted({f for e in lexicon.entries.values() if e.kind in SPOKEN_KINDS for f in (*e.en.forms, *e.fr.forms)})
    extract(read_bytes(blocks(words[:500]), "warm.md"))
    sample = words[:2000]
    whole = seconds(lambda: extract(read_bytes(blocks(sample), "bench.md")))
    nlp = spacy.blank("en")
    phrases = PhraseMatcher(nlp.vocab, attr="LOWER")
    phrases.add("form", [nlp.make_doc(f) for f in forms])
    text = " ".join(sample)
    matching = seconds(lambda: phrases(nlp(text)))
    windows = [" ".join(sample[n : n + k]) for n in range(200) for k in (1, 2, 3, 4)]
    brute = seconds(lambda: matcher.cdist(windows, forms, scorer=fuzz.ratio, score_cutoff=75), 1) * len(sample) / 200
    print(f"{len(sample)} words, {len(forms)} forms")
    print(f"pipeline            {len(sample) / whole:10.0f} words/s")
    print(
        f"(a) spaCy matcher   {len(sample) / matching:10.0f} words/s   pipeline / (a) = {whole / matching:.0f} (bar 250)"
    )
    print(f"(b) brute force     {len(sample) / brute:10.0f} words/s   pipeline / (b) = {whole / brute:.2f}")
    print("minutes   words   seconds   ms/word")
    for minutes in (1, 15, 60, 240):
        many = (words * (minutes * 150 // len(words) + 1))[: minutes * 150]
        took = seconds(lambda many=many: extract(read_bytes(blocks(many), "bench.md")), 1)  # type: ignore[misc]
        print(f"{minutes:7} {len(many):7} {took:9.2f} {1000 * took / len(many):9.3f}")
    print(
        f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB in this process (spaCy and baselines too)"
    )
    help_s, click_s = process("-m", "otochron", "--help"), process("-c", "import click")
    print(f"--help {help_s:.3f} s, import click {click_s:.3f} s, ratio {help_s / click_s:.2f} (bar 3)")
    with tempfile.TemporaryDirectory() as folder:
        talk = Path(folder, "talk.md")
        talk.write_bytes(blocks((words * 3)[:2250]))
        long = Path(folder, "long.md")
        long.write_bytes(blocks((words * (36000 // len(words) + 1))[:36000]))
        job, spacy_s = process("-m", "otochron", "extract", str(talk), "--out", folder), process("-c", "import spacy")
        print(
            f"15 minutes, process start to files {job:.2f} s; import spacy {spacy_s:.2f} s; over it {job - spacy_s:.2f} s (bar 1.5)"
        )
        for name, path in (("15 minutes", talk), ("4 hours", long)):
            peak = memory("-m", "otochron", "extract", str(path), "--out", folder)
            print(f"{name}: peak memory of the program {peak} MB (bar 400)")


if __name__ == "__main__":
    main()
