"""Which files a batch reads, and where each is written."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

SUFFIXES = frozenset({".vtt", ".srt", ".ttml", ".xml", ".dfxp", ".json", ".md", ".txt"})


@dataclass(frozen=True)
class Item:
    """One recording of a batch: its path below the input folder, and its folder below the output."""

    path: str
    folder: str

    @property
    def key(self) -> str:
        """A short name for its files of state."""
        return hashlib.sha256(self.path.encode("utf-8", "surrogateescape")).hexdigest()[:32]


def find_items(source: Path, out: Path, patterns: tuple[str, ...] = ()) -> Iterator[Item]:
    """Give the transcripts below a folder, sorted by path, one at a time.

    Parameters
    ----------
    source : Path
        The folder; hidden files and folders, and the output folder if it lies inside, are passed over.
    out : Path
        The output folder.
    patterns : tuple of str
        Only names that match one of these (``*.vtt``); without any, every suffix a transcript may have.

    Yields
    ------
    Item
        Two inputs that differ only in their suffix keep it in the name of their folder.
    """
    names = sorted(
        path.relative_to(source).as_posix() for path in _walk(source, out.resolve()) if _wanted(path, patterns)
    )
    stems: dict[str, int] = {}
    for name in names:
        stem = str(Path(name).with_suffix("").as_posix())
        stems[stem] = stems.get(stem, 0) + 1
    for name in names:
        stem = str(Path(name).with_suffix("").as_posix())
        yield Item(name, stem if stems[stem] == 1 else name.replace(".", "-"))


def _wanted(path: Path, patterns: tuple[str, ...]) -> bool:
    return any(path.match(p) for p in patterns) if patterns else path.suffix.lower() in SUFFIXES


def _walk(folder: Path, away: Path) -> Iterator[Path]:
    try:
        children = sorted(folder.iterdir())
    except OSError:
        return
    for child in children:
        if child.name.startswith(".") or child.is_symlink():
            continue
        if child.is_dir():
            if child.resolve() != away:
                yield from _walk(child, away)
        else:
            yield child
