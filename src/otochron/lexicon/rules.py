"""Rules as data: entries of kind ``rule``, and what they say of a concept."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from otochron.lexicon.load import Lexicon
from otochron.lexicon.reading import spread
from otochron.lexicon.schema import Entry


@lru_cache(maxsize=512)
def closure(lexicon: Lexicon, concept: str) -> tuple[str, ...]:
    """Give a concept and all that it is part of or a kind of, nearest first."""
    return tuple(spread(lexicon, concept))


@lru_cache(maxsize=256)
def rules(lexicon: Lexicon, role: str) -> tuple[Entry, ...]:
    """Give the rule entries of a role."""
    return tuple(entry for entry in lexicon.of_kind("rule") if entry.role == role)


def members(lexicon: Lexicon, role: str) -> frozenset[str]:
    """Give all concepts that the rules of a role name in ``of``."""
    return frozenset(concept for entry in rules(lexicon, role) for concept in entry.of)


def named(entry: Entry, name: str) -> tuple[str, ...]:
    """Give the concepts of one value of a rule."""
    value = entry.values.get(name, ())
    return (value,) if isinstance(value, str) else value if isinstance(value, tuple) else ()


def value_of(lexicon: Lexicon, role: str, concept: str | None) -> str | None:
    """Give what the first rule of a role says of a concept, where its values map concepts to concepts."""
    for entry in rules(lexicon, role):
        found = entry.values.get(concept or "")
        if isinstance(found, str):
            return found
    return None


def fits(lexicon: Lexicon, entry: Entry, concept: str) -> bool:
    """Tell whether a rule's ``to`` holds a concept: it, what it is part of, or what it is a kind of."""
    if concept in named(entry, "except"):
        return False
    if entry.values.get("only"):
        return concept in entry.to
    return any(name in entry.to for name in closure(lexicon, concept))


def of_finding(lexicon: Lexicon, role: str, concept: str) -> Iterator[Entry]:
    """Give the rules of a role that name a concept."""
    return (entry for entry in rules(lexicon, role) if concept in entry.of)


def is_kind_of(lexicon: Lexicon, concept: str | None, other: str) -> bool:
    """Tell whether a concept is another or a kind of it (not a part)."""
    if concept is None:
        return False
    wave = [concept]
    while wave:
        name = wave.pop()
        if name == other:
            return True
        entry = lexicon.get(name)
        wave += entry.broader if entry else ()
    return False
