"""What stands around the pool: the plan before it, the list of failures and the tables after it."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path
from typing import Any

from otochron import files
from otochron.batch.inputs import Item, find_items
from otochron.batch.state import STATE, lock, mark_path, read_mark, sweep
from otochron.batch.work import Plan
from otochron.job import Options
from otochron.lexicon import Lexicon
from otochron.lexicon.weights import weight_hashes
from otochron.version import __version__
from otochron.writers.tables import plain_cell, tables_text

TABLES = "tables"
FAILURES = "failures.csv"
_README = "What otochron batch remembers between runs. Delete it to start anew.\n"


def make_plan(source: Path, out: Path, options: Options, overlays: tuple[str, ...], lexicon: Lexicon) -> Plan:
    """Bind what all recordings share; ``made_by`` changes with anything that could change a result."""
    made_by = json.dumps(
        [__version__, options.as_made_by(), options.reader, options.media, lexicon.hashes, weight_hashes()],
        sort_keys=True,
    )
    return Plan(str(source), str(out), options, overlays, dict(lexicon.hashes), made_by)


def open_state(out: Path) -> None:
    """Make the folder in which a batch remembers what is done.

    Raises
    ------
    WriteError
        If the output folder cannot be written.
    """
    with lock(out, "state"):
        sweep(out / STATE)
        if not (out / STATE / "README").exists():
            files.write_whole(out / STATE / "README", _README)


def is_new(out: Path, items: Iterable[Item]) -> bool:
    """Tell whether any of the items was never done."""
    return any(not mark_path(out, item).exists() for item in items)


def write_failures(out: Path, failures: list[tuple[str, str]]) -> None:
    """Write ``failures.csv`` with a plain reason each; without a failure there is no such file."""
    path = out / FAILURES
    with lock(out, TABLES):
        sweep(out, FAILURES)
        if not failures:
            path.unlink(missing_ok=True)
            return
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\r\n")
        writer.writerow(["path", "reason"])
        writer.writerows([plain_cell(name), plain_cell(reason)] for name, reason in failures)
        files.write_whole(path, text.getvalue())


def write_batch_tables(
    source: Path, out: Path, patterns: tuple[str, ...], lexicon: Lexicon, failed: Collection[str] = ()
) -> int:
    """Write the research tables of all recordings that are done, one at a time; gives how many there are.

    A recording that failed in this run is left out, though an older record of it may stand in its folder.
    """
    count = 0

    def rows() -> Iterator[dict[str, list[dict[str, Any]]]]:
        nonlocal count
        for item in find_items(source, out, patterns):
            mark = None if item.shown in failed else read_mark(out, item)
            if mark is not None and (out / item.folder / "record.json").is_file():
                count += 1
                yield mark.rows

    with lock(out, TABLES):
        sweep(out / TABLES)
        files.write_streamed(out / TABLES, tables_text(rows(), lexicon))
    return count
