"""The work on one recording of a batch, in a process of its own."""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from multiprocessing.connection import wait
from pathlib import Path, PurePosixPath
from typing import Literal

from otochron import files
from otochron.batch.inputs import Item
from otochron.batch.state import Mark, content_key, lock, mark_path, read_mark, sweep, write_mark
from otochron.errors import FullDiskError, OtochronError, ReadError
from otochron.job import Options, run_job
from otochron.lexicon import Lexicon, load
from otochron.writers.tables import record_rows

Outcome = Literal["made", "kept", "failed", "full"]
"""``full``: failed because the disk is full; then the rest of the batch would fail too."""


@dataclass(frozen=True)
class Plan:
    """What all recordings of a batch share."""

    source: str
    out: str
    options: Options
    overlays: tuple[str, ...]
    lexicons: Mapping[str, str]
    """Hashes of the word lists, so that no process reads others than the batch began with."""
    made_by: str


@dataclass(frozen=True)
class Done:
    """How one recording went; small, because it crosses processes."""

    item: Item
    outcome: Outcome
    reason: str = ""
    stops: int = 0


_lexicon: Lexicon | None = None


def warm(lexicon: Lexicon) -> None:
    """Load all that is made once per process, so that processes forked from this one have it already.

    The text says nothing; it has one line per language, so that the tables of both are made.
    """
    global _lexicon  # noqa: PLW0603  # one per process; a stage never sees it
    _lexicon = lexicon
    run_job(b"[0:00] this is one more line\n[0:10] et voici une autre ligne\n", "warm.md", Options(), lexicon)


def start_worker() -> None:
    """Ready a process for work: it leaves Ctrl-C to its parent, and ends when its parent is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.freeze()  # what was inherited is not looked through, hence not copied
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)


def do_item(plan: Plan, item: Item) -> Done:
    """Read, extract and write one recording, unless it is done already.

    Never raises for what is wrong with one file: the reason goes into the result.
    """
    try:
        return _do(plan, item)
    except OtochronError as error:
        name, line = PurePosixPath(item.shown).name, error.line()
        # A reader knows the name alone; here it is told where the file lies.
        reason = item.shown + line.removeprefix(name) if line.startswith(name) else line
        return Done(item, "full" if isinstance(error, FullDiskError) else "failed", reason)
    except MemoryError:
        return Done(item, "failed", f"{item.shown}: not enough memory; expected a shorter recording. Split the file.")
    except Exception as error:  # a bug in one recording must not stop the rest; it is named as one
        reason = f"{item.shown}: a fault of the program ({type(error).__name__}: {error}). Please report it."
        return Done(item, "failed", " ".join(reason.split()))


def _do(plan: Plan, item: Item) -> Done:
    out, folder = Path(plan.out), Path(plan.out) / item.folder
    try:
        data = files.read_bytes(Path(plan.source) / item.path)
    except ReadError as error:
        raise ReadError(item.shown, error.found, error.expected, error.remedy) from None
    key = content_key(data, plan.made_by)
    with lock(out, item.key):
        mark = read_mark(out, item)
        if mark is not None and mark.key == key and (folder / "record.json").is_file():
            return Done(item, "kept", stops=mark.stops)
        lexicon = _words(plan)
        sweep(folder)
        sweep(mark_path(out, item).parent, item.key)
        name = PurePosixPath(item.shown).name
        result = run_job(data, name, plan.options, lexicon)
        files.write_folder(folder, result.files)
        stops = sum(c.level == "stop" for c in result.record.checks)
        write_mark(out, item, Mark(key, record_rows(result.record, lexicon, item.shown), stops))
    return Done(item, "made", stops=stops)


def _words(plan: Plan) -> Lexicon:
    """Give the word lists of the batch, loaded once per process."""
    global _lexicon  # noqa: PLW0603  # one per process; a stage never sees it
    if _lexicon is None or _lexicon.hashes != plan.lexicons:
        _lexicon = load(*plan.overlays)
    if _lexicon.hashes != plan.lexicons:
        raise ReadError("word lists", "changed while the batch ran", "the same to the end", "Start the batch again.")
    return _lexicon
