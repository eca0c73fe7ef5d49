"""Language and clauses are linear in words; their share of a whole run is printed."""

from __future__ import annotations

from time import perf_counter

from gold_samples import read_gold, sample_folders
from otochron.lexicon import load
from otochron.model import Line, Record
from otochron.pipeline import STAGES
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.text.stream import words


def repeated(record: Record, times: int) -> Record:
    """The same lines again and again, under new ids."""
    lines: list[Line] = []
    for n in range(times):
        lines += [line.evolve(id=f"{line.id}-{n}") for line in record.lines]
    return record.evolve(lines=tuple(lines))


def seconds(record: Record) -> float:
    lexicon = load()
    best = 1e9
    for _ in range(3):
        started = perf_counter()
        find_clauses(find_languages(record, lexicon), lexicon)
        best = min(best, perf_counter() - started)
    return best


def test_time_grows_with_the_words() -> None:
    record = read_gold(sample_folders()[0]).record
    one, four = seconds(repeated(record, 1)), seconds(repeated(record, 4))
    print(f"\nlanguage and clauses: {len(words(record))} words {one:.2f} s, four times as many {four:.2f} s")
    assert four < 8 * one


def test_share_of_the_run() -> None:
    lexicon = load()
    record = read_gold(sample_folders()[0]).record
    spent: dict[str, float] = {}
    for _ in range(2):  # the second round is warm
        spent.clear()
        now = record
        for stage in STAGES:
            started = perf_counter()
            now = stage.run(now, lexicon)
            spent[stage.name] = spent.get(stage.name, 0.0) + perf_counter() - started
    mine = spent["find_languages"] + spent["find_clauses"]
    print(f"\nlanguage and clauses, twice each: {mine:.2f} s of {sum(spent.values()):.2f} s")
    assert mine < sum(spent.values())
