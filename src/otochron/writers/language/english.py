"""English in print."""

from __future__ import annotations

from collections.abc import Sequence

NO_GAP = frozenset({"%", "°"})
"""Units that follow the number without a space."""


def the(noun: str, gender: str | None = None) -> str:
    """Put the article before a noun."""
    del gender
    return f"the {noun}"


def of_the(noun: str, gender: str | None = None) -> str:
    """Put "of the" before a noun."""
    del gender
    return f"of the {noun}"


def no(noun: str, gender: str | None = None) -> str:
    """Deny a noun.

    >>> no("effusion")
    'no effusion'
    """
    del gender
    return f"no {noun}"


def agree(adjective: str, gender: str | None = None) -> str:
    """Adjectives do not change."""
    del gender
    return adjective


def listed(names: Sequence[str]) -> str:
    """Join names.

    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)


def number(value: float) -> str:
    """Write a number with a decimal point and no trailing zeros.

    >>> number(4.50), number(0.000005)
    ('4.5', '0.000005')
    """
    return f"{value:.6f}".rstrip("0").rstrip(".")


def quoted(text: str) -> str:
    """Put a text between quotation marks."""
    return f"“{text}”"


def tidy(text: str) -> str:
    """Curl the apostrophes."""
    return text.replace("'", "’")
