"""Read the word lists: the shipped folder, then overlays in the order given."""

from __future__ import annotations

import difflib
import hashlib
import tomllib
from collections.abc import Iterable, Mapping
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from otochron.collector import paused
from otochron.errors import LexiconError
from otochron.lexicon.find import Finder
from otochron.lexicon.folder import default_folder
from otochron.lexicon.ready import TABLES, form_tables, group_of, unpack, written_tables
from otochron.lexicon.rows import FormTable
from otochron.lexicon.schema import Entry, Tongue

_NOTHING: frozenset[str] = frozenset()
_LANGUAGE_TABLES = ("en", "fr")
_NOT_ENTRIES = ("ready", "sounds", "weights")
"""Folders of data of another kind."""


class Lexicon:
    """All entries, by id, with the look-ups that stages need."""

    def __init__(self, entries: Mapping[str, Entry], hashes: Mapping[str, str] | None = None) -> None:
        self.entries: dict[str, Entry] = dict(entries)
        self.hashes: dict[str, str] = dict(hashes or {})

    def __contains__(self, concept: object) -> bool:
        return concept in self.entries

    def __getitem__(self, concept: str) -> Entry:
        return self.entries[concept]

    def get(self, concept: str | None) -> Entry | None:
        """Give an entry, or None."""
        return self.entries.get(concept) if concept else None

    def of_kind(self, *kinds: str) -> list[Entry]:
        """Give the entries of some kinds, in file order."""
        return [entry for entry in self.entries.values() if entry.kind in kinds]

    def cues(self, role: str) -> list[Entry]:
        """Give the cue entries that play a role (``negation``, ``opener``, …)."""
        return list(self._groups.get(f"cue {role}", ()))

    @cached_property
    def finder(self) -> Finder:
        """Finds mentions: every kind that is spoken, but sides."""
        return self.group_finder("spoken")

    @cached_property
    def side_finder(self) -> Finder:
        """Finds sides, which may stand inside other terms (``right ear``)."""
        return self.group_finder("side")

    def group_finder(self, *groups: str) -> Finder:
        """Find the forms of some groups of entries; see :func:`otochron.lexicon.ready.group_of`."""
        return Finder(tables=[table for group in groups for table in self._tables(group)])

    @lru_cache(maxsize=512)  # noqa: B019  # a lexicon lives as long as the program
    def cue_finder(self, *roles: str) -> Finder:
        """Find the cues of some roles; of all roles if none is named."""
        cues = [group for group in self._groups if group.startswith("cue ")]
        return self.group_finder(*(dict.fromkeys(f"cue {role}" for role in roles) if roles else cues))

    @cached_property
    def _groups(self) -> dict[str, list[Entry]]:
        found: dict[str, list[Entry]] = {}
        for entry in self.entries.values():
            if group := group_of(entry):
                found.setdefault(group, []).append(entry)
        return found

    @lru_cache(maxsize=512)  # noqa: B019
    def _tables(self, group: str) -> list[FormTable]:
        return form_tables(group, self._groups.get(group, ()), self.hashes)

    def label(self, concept: str | None, lang: Any) -> str:
        """Give the name of a concept in a language."""
        entry = self.get(concept)
        return entry.label(lang) if entry else (concept or "").replace("-", " ")

    def related(self, one: str, two: str) -> bool:
        """Tell whether two concepts stand in a relation, in either direction."""
        return two in self.relatives(one)

    def relatives(self, concept: str) -> frozenset[str]:
        """Give the concepts that stand in a relation with one, in either direction."""
        return self._relatives.get(concept, _NOTHING)

    @cached_property
    def _relatives(self) -> dict[str, frozenset[str]]:
        found: dict[str, set[str]] = {}
        for one, others in self._neighbours.items():
            found.setdefault(one, set()).update(others)
            for two in others:
                found.setdefault(two, set()).add(one)
        return {concept: frozenset(others) for concept, others in found.items()}

    @cached_property
    def _neighbours(self) -> dict[str, frozenset[str]]:
        return {
            entry.id: frozenset({*entry.part_of, *entry.adjacent_to, *entry.done_with, *entry.next, *entry.broader})
            for entry in self.entries.values()
        }

    @cached_property
    def aliases(self) -> dict[str, str]:
        """Short names of steps (``sta.isj``) and the ids they stand for."""
        return {entry.alias: entry.id for entry in self.entries.values() if entry.alias}


def lexicon_files(folder: Path) -> list[Path]:
    """Give the files of entries below a folder, sorted by path."""
    return sorted(p for p in folder.rglob("*.toml") if p.relative_to(folder).parts[0] not in _NOT_ENTRIES)


@lru_cache(maxsize=4)
def load(*overlays: str) -> Lexicon:
    """Read the shipped word lists and overlay files.

    Parameters
    ----------
    *overlays : str
        Paths of TOML files. An entry with a ``kind`` adds or replaces; one without a ``kind`` adds its
        forms, ``not_in`` and sentences to the entry of that id.

    Raises
    ------
    LexiconError
        With every mistake of every file, one a line of ``found``.
    """
    folder = default_folder()
    files = [(str(p.relative_to(folder).as_posix()), p) for p in lexicon_files(folder)]
    shipped = [(name, path.read_text("utf-8")) for name, path in files]
    return read_lexicon([*shipped, *map(_overlay, overlays)], overlays_from=len(shipped))


def _overlay(path: str) -> tuple[str, str]:
    try:
        return Path(path).name, Path(path).read_text("utf-8")
    except OSError as error:
        raise LexiconError(path, f"cannot be read ({error.strerror})", "a TOML word list", "Check the path.") from None
    except UnicodeDecodeError:
        raise LexiconError(path, "is not UTF-8 text", "a TOML word list", "Save it as UTF-8.") from None


@paused()
def read_lexicon(files: Iterable[tuple[str, str]], overlays_from: int = 0) -> Lexicon:
    """Make a lexicon from ``(name, text)`` of TOML files.

    Files from number ``overlays_from`` on may add to or replace entries of files before them; among the files
    before that, an id that stands twice is a mistake.
    """
    entries: dict[str, Entry] = {}
    hashes: dict[str, str] = {}
    mistakes: list[str] = []
    written = unpack(TABLES)
    for number, (name, text) in enumerate(files):
        hashes[name] = hashlib.sha256(text.encode()).hexdigest()
        try:
            tables = written_tables(written, name, hashes[name]) or tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            mistakes.append(f"LEX01 {name}: not TOML: {error}")
            continue
        for concept, table in tables.items():
            if not isinstance(table, dict):
                mistakes.append(f"LEX02 {name}: {concept!r} stands outside an entry")
                continue
            if concept in entries and number < overlays_from:
                mistakes.append(f"LEX03 {name}: [{concept}] stands in {entries[concept].file} too; an id stands once")
                continue
            merged = _merge(entries.get(concept), table)
            try:
                entries[concept] = Entry(id=concept, file=name, **merged)
            except (ValidationError, TypeError) as error:
                mistakes += [f"LEX02 {name}: [{concept}] {problem}" for problem in _problems(error)]
    if mistakes:
        raise LexiconError("lexicon", " | ".join(mistakes), "entries as in lexicons/README.md", "Mend the file.")
    return Lexicon(entries, hashes)


def _merge(old: Entry | None, table: dict[str, Any]) -> dict[str, Any]:
    if old is None or "kind" in table:
        return table
    merged = old.model_dump(exclude={"id", "file"}, exclude_defaults=True, by_alias=True)
    for field, value in table.items():
        if field in _LANGUAGE_TABLES and isinstance(value, dict):
            mine = dict(merged.get(field, {}))
            for part, words in value.items():
                mine[part] = (*mine.get(part, ()), *words) if isinstance(words, list) else words
            merged[field] = mine
        else:
            merged[field] = value
    return merged


def _problems(error: ValidationError | TypeError) -> list[str]:
    if isinstance(error, TypeError):
        return [str(error)]
    found: list[str] = []
    for problem in error.errors():
        place = ".".join(str(part) for part in problem["loc"])
        if problem["type"] == "extra_forbidden":
            field = str(problem["loc"][-1])
            known = [*Entry.model_fields, *Tongue.model_fields]
            near = difflib.get_close_matches(field, known, 1)
            found.append(f"unknown field {place!r}" + (f". Did you mean {near[0]!r}?" if near else ""))
        else:
            found.append(f"{place}: {problem['msg'].lower()}")
    return found
