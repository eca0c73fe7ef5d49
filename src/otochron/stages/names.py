"""Names that no word list can know: a trade name in a slot that asks for one. Words: ``cues/names.toml``."""

from __future__ import annotations

from collections.abc import Sequence

from otochron.lexicon import Hit, Lexicon
from otochron.lexicon.forms import ARTICLES
from otochron.model import Mention, Record
from otochron.text.frequencies import frequencies
from otochron.text.stream import Word, span_of, words

_LETTERS = 4


def find_names(record: Record, lexicon: Lexicon) -> Record:
    """Add a mention without a concept for each unknown word in a slot that asks for a name.

    Parameters
    ----------
    record : Record
        Needs ``mentions`` and ``repairs``.
    lexicon : Lexicon
        Cues of role ``name-slot``: ``scope`` says on which side the name stands, ``values.kind`` what it would be.

    Returns
    -------
    Record
        The words are kept as they stand; nothing is guessed. A word is unknown if it has at least four letters and
        stands in neither general word list (``wordfreq``, English and French), in no word list of the trade, and
        in no repair that was applied or suggested.
    """
    stream = words(record)
    taken = _taken(record)
    found: list[Mention] = []
    for hit in lexicon.cue_finder("name-slot").find(stream):
        entry = lexicon[hit.concepts[0]]
        place = _place(stream, hit, backward=entry.scope == "backward")
        if place is None or not _is_unknown(stream[place]) or _is_taken(stream[place], taken):
            continue
        span = span_of(stream, place, place + 1)
        found.append(
            Mention(
                **dict(span),
                id=f"mention-{span.line}-{span.start}-name",
                surface=stream[place].text,
                concept=None,
                kind=str(entry.values.get("kind", "implant")),
                language=stream[place].language,
            )
        )
    if not found:
        return record
    order = {line.id: n for n, line in enumerate(record.lines)}
    every = sorted([*record.mentions, *found], key=lambda m: (order[m.line], m.start, -m.end))
    return record.evolve(mentions=tuple(dict.fromkeys(every)))


def _place(stream: Sequence[Word], hit: Hit, *, backward: bool) -> int | None:
    """Give the word in the slot; an article between does not count."""
    step = -1 if backward else 1
    place = hit.first - 1 if backward else hit.last
    while 0 <= place < len(stream) and stream[place].key in ARTICLES:
        place += step
    return place if 0 <= place < len(stream) else None


def _is_unknown(word: Word) -> bool:
    letters = word.key
    return (
        len(letters) >= _LETTERS
        and letters.isalpha()
        and letters not in frequencies("en")
        and letters not in frequencies("fr")
    )


def _taken(record: Record) -> dict[str, list[tuple[int, int]]]:
    """Give the stretches that a mention or a repair holds already, by line."""
    taken: dict[str, list[tuple[int, int]]] = {}
    for mention in record.mentions:
        taken.setdefault(mention.line, []).append((mention.start, mention.end))
    for repair in record.repairs:
        if repair.decision != "kept":
            taken.setdefault(repair.line, []).append((repair.text_start, max(repair.text_end, repair.text_start + 1)))
    return taken


def _is_taken(word: Word, taken: dict[str, list[tuple[int, int]]]) -> bool:
    return any(start < word.end and word.start < end for start, end in taken.get(word.line, ()))
