"""How long repair takes: ``python tests/bench/bench_repair.py``; cost by words, and its parts."""

from __future__ import annotations

import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests"), str(ROOT / "tests" / "fit")]

from repair_data import make_record  # noqa: E402

from otochron.lexicon import load  # noqa: E402
from otochron.stages.repair import find_repairs  # noqa: E402
from otochron.stages.repair.find import shipped_ngrams  # noqa: E402
from otochron.stages.repair.targets import targets_of  # noqa: E402
from script import read_folder  # noqa: E402


def main() -> None:
    lexicon = load()
    start = time.perf_counter()
    targets = targets_of(lexicon)
    print(f"once: {len(targets.targets)} forms in {time.perf_counter() - start:.2f} s")
    start = time.perf_counter()
    shipped_ngrams()
    print(f"once: n-grams in {time.perf_counter() - start:.2f} s")
    lines = [s.text for script in read_folder(ROOT / "tests" / "narrations")[:8] for s in script.statements]
    find_repairs(make_record(lines[:20], lexicon), lexicon)
    for share in (1, 2, 4):
        some = lines[: len(lines) * share // 4]
        record = make_record(some, lexicon)
        words = sum(len(line.split()) for line in some)
        start = time.perf_counter()
        find_repairs(record, lexicon)
        spent = time.perf_counter() - start
        print(f"{words} words: {spent:.2f} s, {2000 * spent / words:.2f} s per 2,000 words")


if __name__ == "__main__":
    main()
