"""Find the forms of a lexicon in a stream of words: longest match first, in both languages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from otochron.lexicon.forms import ARTICLES, token
from otochron.lexicon.placed import Placed, placed
from otochron.lexicon.rows import FormTable, Node, Opening, table_of
from otochron.lexicon.schema import Entry
from otochron.model import Lang
from otochron.text.stream import Word

_SURE_LETTERS = 6
"""A form this long, or of several words, counts even among words of the other language."""
_LANGUAGES: tuple[Lang, ...] = ("en", "fr")


Walks = list[tuple[int, list[tuple[int, Lang, Node]]]]
"""For each word at which forms begin, where they end (half-open), their language and their place in the tree."""


@dataclass(frozen=True, slots=True)
class Hit:
    """One place where forms of concepts stand: words ``first`` to ``last`` (half-open) of the stream."""

    first: int
    last: int
    concepts: tuple[str, ...]
    language: Lang
    exact: bool = True


class Finder:
    """The forms of a set of entries, ready for look-up.

    Parameters
    ----------
    entries : iterable of Entry
        Whose forms to find.
    tables : sequence of FormTable, optional
        Their forms, if they are known already.
    """

    def __init__(self, entries: Iterable[Entry] = (), tables: Sequence[FormTable] | None = None) -> None:
        tables = [table_of(list(entries))] if tables is None else tables
        self._roots = {lang: Node(Opening(table.forms[lang] for table in tables)) for lang in _LANGUAGES}
        self._cancels = {lang: Node(Opening(table.cancels[lang] for table in tables)) for lang in _LANGUAGES}

    def find(self, words: Sequence[Word], language: Lang | None = None) -> list[Hit]:
        """Give the hits in order; they do not overlap.

        Parameters
        ----------
        words : sequence of Word
            The stream, with the language of each word set.
        language : Lang, optional
            Take every word for one of this language, whatever the stream says.

        Returns
        -------
        list of Hit
            A longer match wins over a shorter one, a match in the language of the words over one in the
            other. Where several entries claim the form, ``concepts`` holds them all, sorted.
        """
        stream = placed(words)
        walks = self._walks(stream)
        if not walks:
            return []
        cancelled = self._cancelled(stream)
        found: list[Hit] = []
        free = 0
        for place, ends in walks:
            if place < free:
                continue
            hit = _longest(words, place, ends, cancelled.get(place, ()), language)
            if hit is not None:
                found.append(hit)
                free = hit.last
        return found

    def _walks(self, stream: Placed) -> Walks:
        """Give the forms that stand in a stream, whatever its languages: worked out once."""
        if self not in stream.walks:
            ends: dict[int, list[tuple[int, Lang, Node]]] = {}
            for lang, root in self._roots.items():
                for place, first in _starts(root, stream):
                    for last, node in _walk(first, stream, place):
                        ends.setdefault(place, []).append((last, lang, node))
            stream.walks[self] = sorted(ends.items())
        found: Walks = stream.walks[self]
        return found

    def _cancelled(self, stream: Placed) -> dict[int, list[tuple[int, tuple[str, ...]]]]:
        """Give, by word, the cancelling phrases over it: where they end and whose forms inside them do not count."""
        over: dict[int, list[tuple[int, tuple[str, ...]]]] = {}
        for root in self._cancels.values():
            for place, first in _starts(root, stream):
                for last, node in _walk(first, stream, place):
                    for n in range(place, last):
                        over.setdefault(n, []).append((last, node.concepts))
        return over


def _longest(
    words: Sequence[Word],
    place: int,
    ends: Sequence[tuple[int, Lang, Node]],
    cancelled: Sequence[tuple[int, tuple[str, ...]]],
    language: Lang | None,
) -> Hit | None:
    best: Hit | None = None
    best_rank = (0, False, False)
    for last, lang, node in ends:
        local = _share(words, place, last, lang) if language is None else lang == language
        if not local and last - place == 1 and len(token(words[place].text)) < _SURE_LETTERS:
            continue
        if not node.exact and last - place == 1 and not words[place].key.isascii():
            continue  # other accents make another word: "lâché" is not "lâche"
        rank = (last - place, local, node.exact)
        if rank <= best_rank:
            continue
        concepts = node.concepts
        if cancelled or (node.tight and last - place > node.depth):
            gone = {concept for end, concepts in cancelled if end >= last for concept in concepts}
            if last - place > node.depth:
                gone |= node.tight
            concepts = tuple(c for c in concepts if c not in gone)
        if concepts:
            best_rank = rank
            best = Hit(place, last, concepts, lang, node.exact)
    return best


def _starts(root: Node, stream: Placed) -> list[tuple[int, Node]]:
    """Give the words that begin a form, and the place of each in the tree."""
    begun = root.next
    found: list[tuple[int, Node]] = []
    for name in begun.keys() & stream.by_name.keys():
        node = begun[name]
        found += [(place, node) for place in stream.by_name[name]]
    for bare in begun.keys() & stream.by_bare.keys():
        node = begun[bare]
        found += [(place, node) for place in stream.by_bare[bare] if stream.names[place] not in begun]
    return found


def _walk(node: Node, stream: Placed, place: int) -> list[tuple[int, Node]]:
    """Give each end (half-open) at which a form is complete that starts with the word at ``place``."""
    names, bare, marks = stream.names, stream.bare, stream.marks
    here, total = place + 1, len(names)
    found = [(here, node)] if node.concepts else []
    if marks[place] == ".":
        return found
    while node.next and here < total:
        name = names[here]
        step = node.next.get(name)
        if step is None and (plain := bare[here]) is not None:
            step = node.next.get(plain)
        if step is None:
            if name in ARTICLES and not marks[here - 1]:
                here += 1
                continue
            break
        node = step
        here += 1
        if node.concepts:
            found.append((here, node))
        if marks[here - 1] == ".":
            break
    return found


def _share(words: Sequence[Word], first: int, last: int, lang: Lang) -> bool:
    if last - first == 1:
        return words[first].language == lang
    same = sum([word.language == lang for word in words[first:last]])
    return same * 2 >= last - first
