"""Which files a batch reads, and where each is written."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

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

    @property
    def shown(self) -> str:
        """The path as text; what is no UTF-8 in a file's name becomes a replacement mark."""
        return self.path.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def find_items(source: Path, out: Path, patterns: tuple[str, ...] = ()) -> Iterator[Item]:
    """Give the transcripts below a folder in the order of their paths; only one folder is held at a time.

    Parameters
    ----------
    source : Path
        The folder; hidden files and folders, links to folders, and the output folder if it lies inside, are
        passed over.
    out : Path
        The output folder.
    patterns : tuple of str
        Only names that match one of these (``*.vtt``); without any, every suffix a transcript may have.

    Yields
    ------
    Item
        Two inputs that differ only in their suffix keep it in the name of their folder. A folder that cannot be
        read is an item too, so that it is counted as a failure and not forgotten.
    """
    yield from _walk(source, PurePosixPath(), out.resolve(), patterns)


def _walk(folder: Path, below: PurePosixPath, away: Path, patterns: tuple[str, ...]) -> Iterator[Item]:
    try:
        children = sorted(child for child in folder.iterdir() if not child.name.startswith("."))
        folders = {child for child in children if child.is_dir() and not child.is_symlink()}
        files = [c.name for c in children if c not in folders and _wanted(c, patterns)]
    except OSError:
        yield Item(str(below), str(below))
        return
    places = _places(files)
    for child in children:
        if child in folders:
            if child.resolve() != away:
                yield from _walk(child, below / child.name, away, patterns)
        elif child.name in places:
            yield Item(str(below / child.name), str(below / places[child.name]))


def _places(names: list[str]) -> dict[str, str]:
    """Give each file of one folder a folder of its own."""
    stems = Counter(PurePosixPath(name).stem for name in names)
    places = {name: PurePosixPath(name).stem for name in names if stems[PurePosixPath(name).stem] == 1}
    taken = set(places.values())
    for name in names:
        if name not in places:
            place = name.replace(".", "-")
            while place in taken:
                place += "-"
            places[name] = place
            taken.add(place)
    return places


def _wanted(path: Path, patterns: tuple[str, ...]) -> bool:
    named = any(path.match(p) for p in patterns) if patterns else path.suffix.lower() in SUFFIXES
    # A link to nowhere is a failure that must be told; a pipe would keep us waiting for ever.
    return named and (path.is_file() or (path.is_symlink() and not path.exists()))
