"""The only module that touches the disk: bytes in, files out, whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import IO

from otochron.errors import FullDiskError, ReadError, WriteError

MAX_BYTES = 64 * 1024 * 1024
_AT_ONCE = 1 << 20
_OWNER_FOLDER = 0o700
_FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


def read_bytes(path: Path) -> bytes:
    """Read a file.

    Raises
    ------
    ReadError
        If it cannot be read, is a folder, or is larger than 64 MiB.
    """
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise ReadError(path, f"is {size // 2**20} MiB", f"at most {MAX_BYTES // 2**20} MiB", "Split the file.")
        return path.read_bytes()
    except IsADirectoryError:
        raise ReadError(path, "is a folder", "one transcript", "Use otochron batch for a folder.") from None
    except OSError as error:
        raise ReadError(
            path, f"cannot be read ({error.strerror})", "a readable file", "Check path and rights."
        ) from None


def write_error(path: Path, error: OSError) -> WriteError:
    """Say in one plain line why a place cannot be written."""
    reason = error.strerror or str(error)
    if error.errno in _FULL:
        return FullDiskError(
            path,
            f"cannot be written ({reason})",
            "room on the disk",
            "Free space and start again, or choose another --out.",
        )
    return WriteError(
        path, f"cannot be written ({reason})", "a writable place", "Check the rights or choose another --out."
    )


def make_folder(path: Path) -> None:
    """Make a folder with its parents, each that is new readable by its owner only.

    Raises
    ------
    WriteError
        If it cannot be made.
    """
    try:
        for folder in (*reversed(path.parents), path):
            if not folder.is_dir():
                folder.mkdir(exist_ok=True, mode=_OWNER_FOLDER)
    except OSError as error:
        raise write_error(path, error) from None


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file whole or not at all: into a new file beside it, flushed, then renamed over it.

    Raises
    ------
    WriteError
        If the folder is read-only, the disk is full, or the like. Nothing half-written stays.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    _write_together(path.parent, [(path.name, data)])


def write_folder(folder: Path, contents: Mapping[str, str | bytes]) -> None:
    """Write several files into one folder, all of them or none.

    All are written beside their places first and then renamed, ``record.json`` last, so that its presence means that
    all are there.

    Raises
    ------
    WriteError
        If one cannot be written; what stood there before still stands.
    """
    names = sorted(contents, key=lambda n: (n == "record.json", n))
    _write_together(folder, ((name, piece) for name in names for piece in _encoded(contents[name])))


def _encoded(text: str | bytes) -> Iterator[bytes]:
    """Encode a text some of it at a time; an empty one is still a file."""
    if isinstance(text, bytes):
        yield text
        return
    for first in range(0, max(1, len(text)), _AT_ONCE):
        yield text[first : first + _AT_ONCE].encode("utf-8")


def write_streamed(folder: Path, pieces: Iterable[tuple[str, str]]) -> None:
    """Write files whose text comes in pieces ``(name, text)``, in any order; each appears whole or not at all.

    The files appear together at the end, so that tables of one run never stand beside tables of another.

    Raises
    ------
    WriteError
        If one cannot be written; what stood there before still stands.
    """
    _write_together(folder, ((name, text.encode("utf-8")) for name, text in pieces))


def _write_together(folder: Path, pieces: Iterable[tuple[str, bytes]]) -> None:
    make_folder(folder)
    parts: dict[str, IO[bytes]] = {}
    try:
        for name, data in pieces:
            if name not in parts:
                parts[name] = tempfile.NamedTemporaryFile(  # noqa: SIM115  # closed below, all together
                    "wb", dir=folder, prefix=f".{name}.", suffix=".part", delete=False
                )
            parts[name].write(data)
        for part in parts.values():
            part.flush()
            os.fsync(part.fileno())
            part.close()
        for name, part in parts.items():
            Path(part.name).replace(folder / name)
    except OSError as error:
        only = next(iter(parts)) if len(parts) == 1 else ""
        raise write_error(folder / only, error) from None
    finally:
        for part in parts.values():
            with contextlib.suppress(OSError):
                part.close()
            with contextlib.suppress(OSError):
                Path(part.name).unlink(missing_ok=True)
