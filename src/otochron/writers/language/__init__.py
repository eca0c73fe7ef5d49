"""What differs between the languages of the notes: articles, agreement, marks. One module per language."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from otochron.model import Lang
from otochron.writers.language import english, french

__all__ = ["GRAMMARS", "Grammar"]


class Grammar(Protocol):
    """What a language must give. ``gender`` is that of the word list: m, f, mp, fp, or None."""

    NO_GAP: frozenset[str]

    def the(self, noun: str, gender: str | None) -> str:  # pragma: no cover  # a protocol
        """Put the definite article before a noun."""
        ...

    def of_the(self, noun: str, gender: str | None) -> str:  # pragma: no cover
        """Put "of the" before a noun."""
        ...

    def no(self, noun: str, gender: str | None) -> str:  # pragma: no cover
        """Deny a noun."""
        ...

    def agree(self, adjective: str, gender: str | None) -> str:  # pragma: no cover
        """Make an adjective agree."""
        ...

    def listed(self, names: Sequence[str]) -> str:  # pragma: no cover
        """Join names with "and"."""
        ...

    def number(self, value: float) -> str:  # pragma: no cover
        """Write a number."""
        ...

    def quoted(self, text: str) -> str:  # pragma: no cover
        """Put a text between quotation marks."""
        ...

    def tidy(self, text: str) -> str:  # pragma: no cover
        """Put apostrophes and spaces as print wants them."""
        ...


GRAMMARS: dict[Lang, Grammar] = {"en": english, "fr": french}
