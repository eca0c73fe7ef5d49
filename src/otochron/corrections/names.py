"""Find the concept that a surgeon's file names: its id, or any of its forms."""

from __future__ import annotations

import difflib
from functools import lru_cache

from otochron.corrections.reading import Order
from otochron.errors import CorrectionsError
from otochron.lexicon import Lexicon


def concept_of(lexicon: Lexicon, name: str, order: Order) -> str:
    """Give the id of a concept.

    Raises
    ------
    CorrectionsError
        If no entry, or more than one, has that id or form.
    """
    if name in lexicon:
        return name
    found = _forms(lexicon).get(name.casefold(), ())
    if len(found) == 1:
        return found[0]
    if found:
        raise CorrectionsError(order.place, f"{name!r} may be {', '.join(found)}", "one concept", "Write the id.")
    near = difflib.get_close_matches(name.casefold(), [*lexicon.entries, *_forms(lexicon)], 1)
    hint = f"Did you mean {near[0]!r}?" if near else "Search it with otochron lexicon show."
    raise CorrectionsError(order.place, f"no concept {name!r}", "an id or a form of the word lists", hint)


@lru_cache(maxsize=4)
def _forms(lexicon: Lexicon) -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for entry in lexicon.entries.values():
        if entry.kind in ("cue", "rule", "dimension", "protected", "phase"):
            continue
        for form in {*entry.en.forms, *entry.fr.forms}:
            found.setdefault(form.casefold(), []).append(entry.id)
    return {form: tuple(sorted(ids)) for form, ids in found.items()}
