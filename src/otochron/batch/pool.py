"""A pool of processes that survives the death of one: bounded in flight, deaf to one bad file."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from itertools import chain, islice
from multiprocessing import get_context
from multiprocessing.context import BaseContext

from otochron.batch.inputs import Item
from otochron.batch.work import Done, Plan, do_item, start_worker

_IN_FLIGHT = 4
"""Recordings under way or waiting per process: memory does not grow with their number."""


_PER_PROCESS = 250
"""Recordings after which processes begin anew: what they remember of the words they met grows with each recording."""


@dataclass
class Summary:
    """How a batch went."""

    made: int = 0
    kept: int = 0
    stops: int = 0
    failures: list[tuple[str, str]] = field(default_factory=list)
    """Path and reason of each recording that failed."""
    full: bool = False
    """Whether the batch was ended early because the disk is full."""

    def add(self, done: Done) -> None:
        """Count one recording."""
        self.made += done.outcome == "made"
        self.kept += done.outcome == "kept"
        self.stops += done.stops
        self.full |= done.outcome == "full"
        if done.reason:
            self.failures.append((done.item.shown, done.reason))


@dataclass
class _Run:
    plan: Plan
    jobs: int
    tell: Callable[[Done], None]
    summary: Summary

    def add(self, done: Done) -> None:
        self.summary.add(done)
        self.tell(done)


def run_batch(plan: Plan, items: Iterable[Item], jobs: int, tell: Callable[[Done], None]) -> Summary:
    """Do every item in a pool of ``jobs`` processes.

    Parameters
    ----------
    plan : Plan
        As :func:`otochron.batch.make_plan` gives it.
    items : iterable of Item
        Taken one at a time.
    jobs : int
        Processes.
    tell : callable
        Called with each result as it comes.

    Returns
    -------
    Summary
        A recording that kills its process is tried once more alone, then counted as failed; the rest go on. Only a
        full disk ends the batch early: every other recording would fail too.
    """
    run = _Run(plan, jobs, tell, Summary())
    waiting = iter(items)
    suspects: list[Item] = []
    while (first := next(waiting, None)) is not None and not run.summary.full:
        suspects += _run_pool(run, chain([first], islice(waiting, jobs * _PER_PROCESS - 1)))
    for item in suspects:
        if not run.summary.full:
            run.add(_alone(plan, item))
    run.summary.failures.sort()
    return run.summary


def _run_pool(run: _Run, waiting: Iterator[Item]) -> list[Item]:
    """Run until all is done or a process dies; give the items that were under way when one died."""
    pool = _pool(run.jobs)
    running: dict[Future[Done], Item] = {}
    try:
        for item in waiting:
            try:
                future = pool.submit(do_item, run.plan, item)
            except BrokenProcessPool:
                return [*running.values(), item]
            running[future] = item
            if len(running) >= run.jobs * _IN_FLIGHT:
                _collect(running, run)
            if run.summary.full:
                return []
        while running:
            _collect(running, run)
    except BrokenProcessPool:
        return list(running.values())
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return []


def _collect(running: dict[Future[Done], Item], run: _Run) -> None:
    """Count what is finished; raises only after all that ended well was counted."""
    finished, _ = wait(running, return_when=FIRST_COMPLETED)
    broken: BrokenProcessPool | None = None
    for future in finished:
        try:
            run.add(future.result())
            del running[future]
        except BrokenProcessPool as error:
            broken = error
    if broken is not None:
        raise broken


def _pool(jobs: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(jobs, _context(), start_worker)


def _context() -> BaseContext:
    """Give how processes begin: forked with all tables loaded, where that is safe.

    A fork copies the locks that other threads hold, so it is taken only while there is no other thread; elsewhere
    each process starts anew and loads the tables itself.
    """
    alone = sys.platform == "linux" and threading.active_count() == 1
    return get_context("fork" if alone else "spawn")


def _alone(plan: Plan, item: Item) -> Done:
    try:
        with _pool(1) as pool:
            return pool.submit(do_item, plan, item).result()
    except BrokenProcessPool:
        reason = (
            f"{item.shown}: its process was killed (not enough memory?); expected it to end by itself. Try it alone."
        )
        return Done(item, "failed", reason)
