"""What a batch remembers between runs: one small file per recording, in ``OUT/.otochron``.

A recording is done when its mark holds the key of what it was made from: content, options, word lists, weights and
version. The mark is written after the record, so that a batch killed at any moment repeats at most the
recordings that were under way, and writes the same bytes.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from otochron import files
from otochron.batch.inputs import Item

STATE = ".otochron"
_NO_LOCKS = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL}


def content_key(data: bytes, made_by: str) -> str:
    """Give the key of a recording's content and of what reads it."""
    return hashlib.sha256(hashlib.sha256(data).digest() + made_by.encode()).hexdigest()


@dataclass(frozen=True)
class Mark:
    """What was made: the key, the rows of the research tables, and how many checks are at level stop."""

    key: str
    rows: dict[str, list[dict[str, Any]]]
    stops: int = 0


def mark_path(out: Path, item: Item) -> Path:
    """Give the place of a recording's mark."""
    return out / STATE / "done" / f"{item.key}.json"


def read_mark(out: Path, item: Item) -> Mark | None:
    """Read a mark; None where there is none, or where it is not readable (then the work is done again)."""
    try:
        data = json.loads(mark_path(out, item).read_text("utf-8"))
        return Mark(data["key"], data["rows"], data["stops"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def write_mark(out: Path, item: Item, mark: Mark) -> None:
    """Write a mark, whole or not at all."""
    data = {"key": mark.key, "path": item.shown, "stops": mark.stops, "rows": mark.rows}
    files.write_whole(mark_path(out, item), json.dumps(data, ensure_ascii=False))


@contextlib.contextmanager
def lock(out: Path, name: str) -> Iterator[None]:
    """Hold a recording (by its key) or the tables, so that two batches on one folder do not do it at once.

    The lock goes with its process, however that ends. Where the system has none, both batches write the same
    bytes, whole, which harms nothing.

    Raises
    ------
    WriteError
        If the file of the lock cannot be made.
    """
    try:
        import fcntl
    except ImportError:  # pragma: no cover  # not on this system
        yield
        return
    path = out / STATE / "locks" / f"{name}.lock"
    files.make_folder(path.parent)
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise files.write_error(path, error) from None
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
        except OSError as error:
            if error.errno not in _NO_LOCKS:  # some network disks have no locks
                raise files.write_error(path, error) from None
        yield
    finally:
        os.close(handle)


def sweep(folder: Path, name: str = "") -> None:
    """Remove what a killed run left half-written in a folder; call it only while holding the lock of its files."""
    if folder.is_dir():
        for path in folder.glob(f".{name}*.part"):
            with contextlib.suppress(OSError):
                path.unlink()
