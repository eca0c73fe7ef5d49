"""The only module that touches the disk: bytes in, files out, whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import IO

from otochron.errors import ReadError, WriteError

MAX_BYTES = 64 * 1024 * 1024
_OWNER_ONLY = 0o600
_OWNER_FOLDER = 0o700


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


def make_folder(path: Path) -> None:
    """Make a folder, readable by its owner only, with its parents."""
    try:
        path.mkdir(parents=True, exist_ok=True, mode=_OWNER_FOLDER)
    except OSError as error:
        raise WriteError(path, f"cannot be made ({error.strerror})", "a folder", "Choose another --out.") from None


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file whole or not at all: into a new file beside it, flushed, then renamed over it.

    Raises
    ------
    WriteError
        If the folder is read-only, the disk is full, or the like. Nothing half-written stays.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    make_folder(path.parent)
    temporary: str | None = None
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        with os.fdopen(handle, "wb") as file:
            os.fchmod(file.fileno(), _OWNER_ONLY) if hasattr(os, "fchmod") else None
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except OSError as error:
        if temporary is not None:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()
        reason = error.strerror or str(error)
        raise WriteError(
            path, f"cannot be written ({reason})", "a writable place", "Free space or choose another --out."
        ) from None


def write_folder(folder: Path, contents: Mapping[str, str]) -> None:
    """Write several files into one folder; ``record.json`` last, so that its presence means all are there."""
    for name in sorted(contents, key=lambda n: (n == "record.json", n)):
        write_whole(folder / name, contents[name])


def write_streamed(folder: Path, pieces: Iterable[tuple[str, str]]) -> None:
    """Write files whose text comes in pieces ``(name, text)``, in any order; each appears whole or not at all.

    The files appear together at the end, so that tables of one run never stand beside tables of another.
    """
    make_folder(folder)
    parts: dict[str, IO[bytes]] = {}
    try:
        for name, text in pieces:
            if name not in parts:
                parts[name] = tempfile.NamedTemporaryFile(  # noqa: SIM115  # closed below, all together
                    "wb", dir=folder, prefix=f".{name}.", suffix=".part", delete=False
                )
            parts[name].write(text.encode("utf-8"))
        for name, part in parts.items():
            part.flush()
            os.fsync(part.fileno())
            part.close()
            Path(part.name).replace(folder / name)
    except OSError as error:
        for part in parts.values():
            with contextlib.suppress(OSError):
                part.close()
                Path(part.name).unlink(missing_ok=True)
        reason = error.strerror or str(error)
        raise WriteError(
            folder, f"cannot be written ({reason})", "a writable place", "Free space or choose another --out."
        ) from None
