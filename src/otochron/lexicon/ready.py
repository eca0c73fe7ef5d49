"""What is worked out from the word lists, written out beforehand: to read it is quicker than to work it out.

``lexicons/ready/`` holds, for each word list, its tables as read from TOML and the rows of its forms. Each stands under
the hash of the text that it was made from, and the rows also under the hash of the code that makes them: where one has
changed, or an overlay touches an entry, what stands there is not used and is worked out anew. So a file of this folder
can save time and nothing else. ``tests/fit/build_ready.py`` writes them.
"""

from __future__ import annotations

import hashlib
import json
import lzma
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from otochron.lexicon.folder import PACKAGE, default_folder
from otochron.lexicon.rows import FormTable, Table, packed, table_of
from otochron.lexicon.schema import SPOKEN_KINDS, Entry

TABLES: Final = "tables.json.xz"
FORMS: Final = "forms.json.xz"
_CODE: Final = (
    "lexicon/forms.py",
    "lexicon/rows.py",
    "text/inflect_en.py",
    "text/inflect_fr.py",
    "text/normal.py",
    "text/splitting.py",
)


def ready_folder() -> Path:
    """Give the folder of what was written out."""
    return default_folder() / "ready"


@lru_cache(maxsize=8)
def code_hash(*files: str) -> str:
    """Give a hash of source files of this package; empty where they are not there to be read."""
    found = hashlib.sha256()
    for name in files:
        try:
            found.update((PACKAGE / name).read_bytes().replace(b"\r\n", b"\n"))
        except OSError:
            return ""
    return found.hexdigest()


def pack(value: Any) -> bytes:
    """Write a value as packed JSON."""
    return lzma.compress(json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode(), preset=9)


def unpack(name: str) -> dict[str, Any]:
    """Read a packed JSON file of the folder; empty if it is missing or spoilt."""
    try:
        found = json.loads(lzma.decompress((ready_folder() / name).read_bytes()))
    except (OSError, ValueError, lzma.LZMAError):
        return {}
    return found if isinstance(found, dict) else {}


def written_tables(written: Mapping[str, Any], file: str, sha256: str) -> dict[str, Any] | None:
    """Give the tables of a word list as ``tomllib`` reads them, or None if they were not written out."""
    held = written.get(file)
    return held["tables"] if held and held["sha256"] == sha256 else None


def group_of(entry: Entry) -> str | None:
    """Give the name under which the forms of an entry are looked up, together with others; None if they are not."""
    if entry.kind == "cue":
        return f"cue {entry.role}"
    if entry.kind in ("side", "step"):
        return entry.kind
    return "spoken" if entry.kind in SPOKEN_KINDS else None


def form_tables(group: str, entries: Sequence[Entry], hashes: Mapping[str, str]) -> list[FormTable]:
    """Give the forms of the entries of a group, a table for each word list.

    Parameters
    ----------
    group : str
        As :func:`group_of` names it.
    entries : sequence of Entry
        All entries of the group.
    hashes : mapping
        The sha256 of each word list.
    """
    by_file: dict[str, list[Entry]] = {}
    for entry in entries:
        by_file.setdefault(entry.file, []).append(entry)
    return [_written(group, file, its, hashes) or table_of(its) for file, its in by_file.items()]


@lru_cache(maxsize=1)
def _forms() -> dict[str, Any]:
    written = unpack(FORMS)
    return written["files"] if written and written["code"] == code_hash(*_CODE) else {}


def _written(group: str, file: str, entries: Sequence[Entry], hashes: Mapping[str, str]) -> FormTable | None:
    held = _forms().get(file)
    if not held or held["sha256"] != hashes.get(file):
        return None
    rows = held["groups"].get(group)
    if not rows or rows["entries"] != [entry.id for entry in entries]:
        return None
    return FormTable(rows["forms"], rows["cancels"])


def dump_tables(files: Iterable[tuple[str, str, Mapping[str, Any]]]) -> bytes:
    """Write the tables of word lists, given as name, hash and tables."""
    return pack({name: {"sha256": sha256, "tables": tables} for name, sha256, tables in files})


def dump_forms(entries: Iterable[Entry], hashes: Mapping[str, str]) -> bytes:
    """Write the rows of the forms of all entries."""
    groups: dict[str, dict[str, list[Entry]]] = {}
    for entry in entries:
        if group := group_of(entry):
            groups.setdefault(entry.file, {}).setdefault(group, []).append(entry)
    files = {
        file: {"sha256": hashes[file], "groups": {group: _dump_group(its) for group, its in held.items()}}
        for file, held in groups.items()
    }
    return pack({"code": code_hash(*_CODE), "files": files})


def _dump_group(entries: Sequence[Entry]) -> dict[str, Any]:
    table = table_of(entries)

    def written(tables: Mapping[Any, Table]) -> dict[str, dict[str, str]]:
        return {
            lang: {first: rows if isinstance(rows, str) else packed(rows) for first, rows in sorted(table.items())}
            for lang, table in tables.items()
        }

    return {
        "entries": [entry.id for entry in entries],
        "forms": written(table.forms),
        "cancels": written(table.cancels),
    }
