"""Choose entries and lay them out for reading by people and programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from otochron.lexicon.load import Lexicon
from otochron.lexicon.schema import Entry
from otochron.text.normal import fold


def select(lexicon: Lexicon, words: Sequence[str] = (), kind: str | None = None) -> list[Entry]:
    """Give the entries of a kind whose id or forms hold any of the words; accents and case do not count."""
    wanted = [fold(word) for word in words]
    return [
        entry
        for entry in lexicon.entries.values()
        if (kind is None or entry.kind == kind) and (not wanted or _holds(entry, wanted))
    ]


def _holds(entry: Entry, wanted: Sequence[str]) -> bool:
    texts = [entry.id.replace("-", " "), *entry.en.forms, *entry.fr.forms, *entry.latin_forms()]
    folded = [fold(text) for text in texts] + [entry.id]
    return any(word in text for word in wanted for text in folded)


def as_rows(entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """Give ``{id, kind, forms: {en, fr}, …}`` of each entry; empty fields are left out."""
    rows: list[dict[str, Any]] = []
    for entry in entries:
        row: dict[str, Any] = {
            "id": entry.id,
            "kind": entry.kind,
            "forms": {"en": list(entry.en.forms), "fr": list(entry.fr.forms)},
        }
        rest = entry.model_dump(mode="json", by_alias=True, exclude_defaults=True, exclude={"id", "kind", "en", "fr"})
        for lang in ("en", "fr"):
            tongue = entry.fr if lang == "fr" else entry.en
            more = tongue.model_dump(mode="json", exclude_defaults=True, exclude={"forms"})
            if more:
                rest[lang] = more
        rows.append(row | rest)
    return rows
