"""The work on one recording of a batch, in a process of its own."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from otochron import files
from otochron.batch.inputs import Item
from otochron.batch.state import Mark, content_key, lock, read_mark, sweep, write_mark
from otochron.errors import OtochronError
from otochron.job import Options, run_job
from otochron.lexicon import Lexicon, load
from otochron.writers.tables import record_rows

Outcome = Literal["made", "kept", "failed"]


@dataclass(frozen=True)
class Plan:
    """What all recordings of a batch share."""

    source: str
    out: str
    options: Options
    overlays: tuple[str, ...]
    made_by: str


@dataclass(frozen=True)
class Done:
    """How one recording went; small, because it crosses processes."""

    item: Item
    outcome: Outcome
    reason: str = ""
    stops: int = 0


_lexicon: Lexicon | None = None


def start_worker(overlays: tuple[str, ...]) -> None:
    """Load the word lists once per process."""
    global _lexicon  # noqa: PLW0603  # one per worker process; a stage never sees it
    _lexicon = load(*overlays)


def do_item(plan: Plan, item: Item) -> Done:
    """Read, extract and write one recording, unless it is done already.

    Never raises for what is wrong with one file: the reason goes into the result.
    """
    lexicon = _lexicon or load(*plan.overlays)
    out = Path(plan.out)
    try:
        data = files.read_bytes(Path(plan.source) / item.path)
        key = content_key(data, plan.made_by)
        with lock(out, item):
            mark = read_mark(out, item)
            folder = out / item.folder
            if mark is not None and mark.key == key and (folder / "record.json").is_file():
                return Done(item, "kept")
            sweep(folder)
            result = run_job(data, os.path.basename(item.path), plan.options, lexicon)  # noqa: PTH119  # a name, no path
            files.write_folder(folder, result.files)
            write_mark(out, item, Mark(key, record_rows(result.record, lexicon, item.path)))
        return Done(item, "made", stops=sum(c.level == "stop" for c in result.record.checks))
    except OtochronError as error:
        return Done(item, "failed", error.line())
    except MemoryError:
        return Done(item, "failed", f"{item.path}: not enough memory; expected a shorter recording. Split the file.")
    except Exception as error:  # a bug in one recording must not stop the rest; it is named as one
        return Done(
            item,
            "failed",
            f"{item.path}: a fault of the program ({type(error).__name__}: {error}). Please report it.",
        )
