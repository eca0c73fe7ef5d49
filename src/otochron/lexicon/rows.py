"""The forms of entries as rows: a sequence of tokens, the concept it is a form of, and in what way.

A look-up needs the tree of forms below a word only when that word is spoken. So forms are kept by their first token,
and :class:`Opening` grows the tree below a token when it is first asked for. Rows of the shipped lists are written out
beforehand (``lexicon/ready.py``); those of other entries are worked out here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal, NamedTuple

from otochron.lexicon.forms import ARTICLES, Tokens, inflected, token, tokens, unaccented
from otochron.lexicon.schema import Entry
from otochron.model import Lang
from otochron.text.lazy import Lazy

_FOLD_LETTERS: Final = 5
"""A form this long is found without its accents too."""

_LANGUAGES: Final[tuple[Lang, ...]] = ("en", "fr")
Way = Literal["open", "tight", "bare", "cancels"]
"""``tight``: by hyphenated forms alone; ``bare``: without its accents; ``cancels``: a phrase that is no form."""


class Row(NamedTuple):
    """One token sequence of one concept."""

    words: Tokens
    concept: str
    way: Way


Rows = Sequence[Row] | str
"""Rows that begin alike, or the same packed; see :func:`packed`."""
Table = Mapping[str, Rows]
"""Rows by their first token."""


@dataclass(slots=True)
class Node:
    """A place in a tree of forms: the words that may follow, and the concepts whose forms end here."""

    next: dict[str, Node] = field(default_factory=dict)
    concepts: tuple[str, ...] = ()
    exact: bool = False
    tight: frozenset[str] = frozenset()
    """Concepts that come here by hyphenated forms alone: no article may stand inside ("je coupe le piston")."""
    depth: int = 0


class Opening(Lazy[Node]):
    """The first tokens of forms; the tree below one grows when it is first asked for."""

    def __init__(self, tables: Iterable[Table]) -> None:
        waiting: dict[str, Rows] = {}
        for table in tables:
            if not waiting:
                waiting.update(table)
                continue
            for first, rows in table.items():
                waiting[first] = _both(first, waiting[first], rows) if first in waiting else rows
        super().__init__(waiting, Node, lambda first, rows: _grown(unpacked(first, rows)))


def _both(first: str, one: Rows, two: Rows) -> Rows:
    if isinstance(one, str) and isinstance(two, str):
        return f"{one}|{two}"
    return [*unpacked(first, one), *unpacked(first, two)]


def packed(rows: Iterable[Row]) -> str:
    """Write rows that begin alike: for each way and concept its sequences, without their first token.

    >>> packed([Row(("oval", "window"), "window", "open"), Row(("oval",), "window", "open")])
    'open;window;;window'
    """
    lines: dict[tuple[str, str], list[str]] = {}
    for words, concept, way in rows:
        lines.setdefault((way, concept), []).append(" ".join(words[1:]))
    return "|".join(";".join((*head, *sorted(rests))) for head, rests in sorted(lines.items()))


def unpacked(first: str, rows: Rows) -> Sequence[Row]:
    """Read what :func:`packed` wrote."""
    if not isinstance(rows, str):
        return rows
    found: list[Row] = []
    for part in rows.split("|"):
        way, concept, *rests = part.split(";")
        found += [Row((first, *rest.split()), concept, way) for rest in rests]  # type: ignore[arg-type]
    return found


def _grown(rows: Sequence[Row]) -> Node:
    """Make the tree of rows that begin alike. A sequence without accents counts where no form is spelt so."""
    ways: dict[Tokens, dict[Way, set[str]]] = {}
    for words, concept, way in rows:
        ways.setdefault(words, {}).setdefault(way, set()).add(concept)
    top = Node()
    for words, concepts in ways.items():
        node = top
        for word in words[1:]:
            node = node.next.setdefault(word, Node())
        spelt = concepts.keys() - {"bare"}
        tight, free = concepts.get("tight", set()), concepts.get("open", set())
        node.concepts = tuple(sorted(set().union(*(concepts[way] for way in spelt or concepts))))
        node.exact = bool(spelt)
        node.tight = frozenset(tight - free)
        node.depth = len(words)
    return top


def form_rows(entry: Entry, lang: Lang) -> Iterator[Row]:
    """Give the rows of the forms of an entry, with all inflections."""
    spelt: dict[Tokens, Way] = {}
    bare: dict[Tokens, None] = {}
    for form in (*entry.tongue(lang).forms, *entry.latin_forms()):
        way: Way = "tight" if "-" in form else "open"
        for found in inflected(entry, lang, form):
            if way == "open" or found not in spelt:
                spelt[found] = way
            if not all(map(str.isascii, found)) and sum(map(len, found)) >= _FOLD_LETTERS:
                bare[unaccented(found)] = None
    for words, way in spelt.items():
        yield Row(words, entry.id, way)
    for words in bare:
        if words not in spelt:
            yield Row(words, entry.id, "bare")


def cancel_rows(entry: Entry, lang: Lang) -> Iterator[Row]:
    """Give the rows of the phrases that cancel forms of an entry."""
    for phrase in entry.tongue(lang).not_in:
        if words := _cancelling(phrase):
            yield Row(words, entry.id, "cancels")


def _cancelling(phrase: str) -> Tokens:
    """Give the tokens of a cancelling phrase; an article at its end counts ("curette the" is not "curette")."""
    found, last = tokens(phrase), token(phrase.rsplit(maxsplit=1)[-1])
    return (*found, last) if last in ARTICLES and len(phrase.split()) > 1 else found


def by_first(rows: Iterable[Row]) -> dict[str, list[Row]]:
    """Group rows by their first token."""
    table: dict[str, list[Row]] = {}
    for row in rows:
        table.setdefault(row.words[0], []).append(row)
    return table


@dataclass(frozen=True)
class FormTable:
    """The forms and the cancelling phrases of some entries, in both languages."""

    forms: Mapping[Lang, Table]
    cancels: Mapping[Lang, Table]


def table_of(entries: Sequence[Entry]) -> FormTable:
    """Work out the table of some entries."""
    return FormTable(
        {lang: by_first(row for entry in entries for row in form_rows(entry, lang)) for lang in _LANGUAGES},
        {lang: by_first(row for entry in entries for row in cancel_rows(entry, lang)) for lang in _LANGUAGES},
    )
