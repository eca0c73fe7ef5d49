"""Many recordings: a pool of processes, bounded in flight, resumable, deaf to one bad file."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path

from otochron import files
from otochron.batch.inputs import Item, find_items
from otochron.batch.state import read_mark
from otochron.batch.work import Done, Plan, do_item, start_worker
from otochron.job import Options
from otochron.lexicon import Lexicon
from otochron.lexicon.weights import weight_hashes
from otochron.version import __version__
from otochron.writers.tables import plain_cell, tables_text

_IN_FLIGHT = 4
"""Recordings under way or waiting per process: memory does not grow with their number."""


@dataclass
class Summary:
    """How a batch went."""

    made: int = 0
    kept: int = 0
    stops: int = 0
    failures: list[tuple[str, str]] = field(default_factory=list)

    def add(self, done: Done) -> None:
        """Count one recording."""
        self.made += done.outcome == "made"
        self.kept += done.outcome == "kept"
        self.stops += done.stops
        if done.outcome == "failed":
            self.failures.append((done.item.path, done.reason))


def make_plan(source: Path, out: Path, options: Options, overlays: tuple[str, ...], lexicon: Lexicon) -> Plan:
    """Bind what all recordings share; ``made_by`` changes with anything that could change a result."""
    made_by = json.dumps(
        [__version__, options.as_made_by(), options.reader, options.media, lexicon.hashes, weight_hashes()],
        sort_keys=True,
    )
    return Plan(str(source), str(out), options, overlays, made_by)


def run_batch(plan: Plan, items: Iterable[Item], jobs: int, tell: Callable[[Done], None]) -> Summary:
    """Do every item in a pool of ``jobs`` processes.

    Parameters
    ----------
    plan : Plan
        As :func:`make_plan` gives it.
    items : iterable of Item
        Taken one at a time.
    jobs : int
        Processes.
    tell : callable
        Called with each result as it comes.

    Returns
    -------
    Summary
        A recording that kills its process is tried once more alone, then counted as failed; the rest go on.
    """
    summary = Summary()
    waiting = iter(items)
    suspects: list[Item] = []
    while True:
        broken = _run_pool(plan, waiting, jobs, tell, summary)
        suspects += broken
        if not broken:
            break
    for item in suspects:
        done = _alone(plan, item)
        summary.add(done)
        tell(done)
    summary.failures.sort()
    return summary


def _run_pool(
    plan: Plan, waiting: Iterator[Item], jobs: int, tell: Callable[[Done], None], summary: Summary
) -> list[Item]:
    """Run until all is done or a process dies; give the items that were under way when one died."""
    pool = _pool(plan, jobs)
    running: dict[Future[Done], Item] = {}
    try:
        for item in waiting:
            running[pool.submit(do_item, plan, item)] = item
            if len(running) >= jobs * _IN_FLIGHT:
                _collect(running, tell, summary)
        while running:
            _collect(running, tell, summary)
    except BrokenProcessPool:
        return list(running.values())
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return []


def _collect(running: dict[Future[Done], Item], tell: Callable[[Done], None], summary: Summary) -> None:
    finished, _ = wait(running, return_when=FIRST_COMPLETED)
    for future in finished:
        done = future.result()
        del running[future]
        summary.add(done)
        tell(done)


def _pool(plan: Plan, jobs: int) -> ProcessPoolExecutor:
    # Spawned, not forked: the progress display runs a thread, and a fork would copy its locks.
    return ProcessPoolExecutor(jobs, get_context("spawn"), start_worker, (plan.overlays,))


def _alone(plan: Plan, item: Item) -> Done:
    try:
        with _pool(plan, 1) as pool:
            return pool.submit(do_item, plan, item).result()
    except BrokenProcessPool:
        reason = (
            f"{item.path}: its process was killed (not enough memory?); expected it to end by itself. Try it alone."
        )
        return Done(item, "failed", reason)


def write_failures(out: Path, failures: list[tuple[str, str]]) -> None:
    """Write ``failures.csv`` with a plain reason each; without a failure there is no such file."""
    path = out / "failures.csv"
    if not failures:
        path.unlink(missing_ok=True)
        return
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(["path", "reason"])
    writer.writerows([plain_cell(name), plain_cell(reason)] for name, reason in failures)
    files.write_whole(path, text.getvalue())


def write_batch_tables(source: Path, out: Path, patterns: tuple[str, ...], lexicon: Lexicon) -> int:
    """Write the research tables of all recordings that are done; gives how many there are."""
    count = 0

    def rows() -> Iterator[dict[str, list[dict[str, object]]]]:
        nonlocal count
        for item in find_items(source, out, patterns):
            mark = read_mark(out, item)
            if mark is not None and (out / item.folder / "record.json").is_file():
                count += 1
                yield mark.rows

    files.write_streamed(out / "tables", tables_text(rows(), lexicon))
    return count
