"""How long repair takes: ``python tests/bench/bench_repair.py``; by words, by its parts, and with a larger lexicon."""

from __future__ import annotations

import random
import sys
import time
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests"), str(ROOT / "tests" / "fit")]

from repair_data import make_record  # noqa: E402

from otochron.lexicon import Lexicon, load  # noqa: E402
from otochron.model import Record  # noqa: E402
from otochron.stages.repair import find_repairs  # noqa: E402
from otochron.stages.repair.find import shipped_ngrams  # noqa: E402
from otochron.stages.repair.targets import Reading, Targets, targets_of, work_out  # noqa: E402
from otochron.text.sounds import merged  # noqa: E402
from script import read_folder  # noqa: E402

TIMES = 4
DEAREST = 2.5
"""How many times the cost a lexicon of four times the forms should bring at most."""
_VOWELS, _CONSONANTS = "ieaouy", "ptksfmnlr"


def enlarged(targets: Targets, times: int) -> Targets:
    """Add forms of the same shape with other sounds, each for a concept of another form."""
    rng = random.Random(5)
    forms = list(targets.targets)
    owners = [form.concepts for form in forms]
    by_coarse = defaultdict(list, {coarse: list(its) for coarse, its in targets.by_coarse.items()})
    own = {(r.target, r.foreign): r.phones for its in targets.by_coarse.values() for r in its}
    for _ in range(times - 1):
        swap = str.maketrans(
            _VOWELS + _CONSONANTS,
            "".join(rng.sample(_VOWELS, len(_VOWELS))) + "".join(rng.sample(_CONSONANTS, len(_CONSONANTS))),
        )
        rng.shuffle(owners)
        start = len(forms)
        forms += [
            replace(form, phones=form.phones.translate(swap), concepts=its)
            for form, its in zip(forms[: len(owners)], owners, strict=True)
        ]
        for (number, foreign), phones in own.items():
            said = phones.translate(swap)
            by_coarse[merged(said)].append(Reading(start + number, said, foreign))
    coarse: dict[int, list[str]] = defaultdict(list)
    for text in by_coarse:
        coarse[len(text)].append(text)
    return Targets(
        tuple(forms),
        {text: tuple(its) for text, its in by_coarse.items()},
        {size: tuple(its) for size, its in coarse.items()},
        targets.by_letters,
    )


def dearer(record: Record, lexicon: Lexicon) -> float:
    """Give how many times as long repair takes with four times the forms."""
    spent = []
    forms = work_out(lexicon)
    for targets in (forms, enlarged(forms, TIMES)):
        with patch("otochron.stages.repair.candidates.targets_of", lambda _, targets=targets: targets):
            times = []
            for _ in range(3):
                start = time.process_time()
                find_repairs(record, lexicon)
                times.append(time.process_time() - start)
            spent.append(min(times))
    return spent[1] / spent[0]


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
    ratio = dearer(make_record(lines[: len(lines) // 8], lexicon), lexicon)
    print(f"{TIMES} times the forms: {ratio:.2f} times the time ({DEAREST} asked)")


if __name__ == "__main__":
    main()
