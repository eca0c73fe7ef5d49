"""Find the places where concepts are spoken. Words: every lexicon of a spoken kind."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence

from otochron.lexicon import Entry, Hit, Lexicon
from otochron.lexicon.forms import tokens
from otochron.model import Mention, Record
from otochron.text.stream import Word, span_of, surface, words

_NEAR_WORDS = 40


def find_mentions(record: Record, lexicon: Lexicon) -> Record:
    """Add one mention for each place where a form of a concept stands.

    Parameters
    ----------
    record : Record
        Needs ``lines`` with their languages, and ``repairs``.
    lexicon : Lexicon
        All entries of a spoken kind.

    Returns
    -------
    Record
        With ``mentions`` in spoken order, all ``affirmed`` until the status stage reads them. A form that
        several entries claim goes to a thing before an action, to the entry whose own name it is, to the one
        most related to what is said within 40 words, then to the one spoken of most in the recording; where
        nothing decides, the concept is null.
    """
    stream = words(record)
    # A side may stand inside another term ("right ear"): it is found apart, and both are kept.
    hits = sorted([*lexicon.finder.find(stream), *lexicon.side_finder.find(stream)], key=lambda h: (h.first, -h.last))
    repaired = _repair_places(record)
    spoken = Counter(hit.concepts[0] for hit in hits if len(hit.concepts) == 1)
    found = [
        _mention(record, stream, hit, _choose(stream, hits, n, lexicon, spoken), lexicon, repaired)
        for n, hit in enumerate(hits)
    ]
    return record.evolve(mentions=tuple(found))


def _mention(  # noqa: PLR0913, PLR0917  # a plain constructor of one value
    record: Record,
    stream: Sequence[Word],
    hit: Hit,
    concept: str | None,
    lexicon: Lexicon,
    repaired: dict[str, list[tuple[int, int, str]]],
) -> Mention:
    span = span_of(stream, hit.first, hit.last)
    kind = lexicon[concept or hit.concepts[0]].kind
    repair = next(
        (name for start, end, name in repaired.get(span.line, ()) if start < span.end and span.start < end), None
    )
    languages = Counter(word.language for word in stream[hit.first : hit.last])
    return Mention(
        **dict(span),
        # A side may begin where another mention begins ("right ear"): its id is its own.
        id=f"{'side' if kind == 'side' else 'mention'}-{span.line}-{span.start}",
        surface=surface(record, span),
        concept=concept,
        kind=kind,
        language=languages.most_common(1)[0][0],
        repair=repair,
    )


def _repair_places(record: Record) -> dict[str, list[tuple[int, int, str]]]:
    places: dict[str, list[tuple[int, int, str]]] = {}
    for repair in record.repairs:
        if repair.decision == "applied" and repair.text:
            places.setdefault(repair.line, []).append((repair.text_start, repair.text_end, repair.id))
    return places


def _choose(stream: Sequence[Word], hits: Sequence[Hit], n: int, lexicon: Lexicon, spoken: Counter[str]) -> str | None:
    """Choose among the concepts that claim one form."""
    hit = hits[n]
    if len(hit.concepts) == 1:
        return hit.concepts[0]
    low = bisect_left(hits, hit.first - _NEAR_WORDS, key=lambda h: h.first)
    high = bisect_left(hits, hit.first + _NEAR_WORDS + 1, key=lambda h: h.first)
    near = [other.concepts[0] for other in hits[low:high] if len(other.concepts) == 1]
    said = tokens(" ".join(word.text for word in stream[hit.first : hit.last]))

    def rank(concept: str) -> tuple[bool, bool, int, int]:
        entry = lexicon[concept]
        related = sum(lexicon.related(concept, other) for other in near)
        return entry.kind != "action", _is_label(entry, said), related, spoken[concept]

    first, second, *_ = sorted(hit.concepts, key=lambda c: (rank(c), c), reverse=True)
    return first if rank(first) > rank(second) else None


def _is_label(entry: Entry, said: tuple[str, ...]) -> bool:
    """Tell whether the words are the first listed form: the term's own name, not a short form of it."""
    return any(tongue.forms and tokens(tongue.forms[0]) == said for tongue in (entry.en, entry.fr))
