"""The words of the interface in both languages; they are data: ``lexicons/rules/page.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from otochron.lexicon import Lexicon
from otochron.lexicon.rules import rules
from otochron.model import Lang
from otochron.writers.language import GRAMMARS

LANGUAGES: tuple[Lang, Lang] = ("en", "fr")
Pair = tuple[str, str]
"""The same thing in English and in French."""


class Words:
    """Interface words by name, each a pair: English, French."""

    def __init__(self, lexicon: Lexicon, role: str = "page-word") -> None:
        self._pairs: dict[str, Pair] = {}
        for entry in rules(lexicon, role):
            for name, pair in entry.values.items():
                if isinstance(pair, tuple) and len(pair) == 2:
                    self._pairs[name] = (GRAMMARS["en"].tidy(pair[0]), GRAMMARS["fr"].tidy(pair[1]))

    def __contains__(self, name: object) -> bool:
        return name in self._pairs

    def pair(self, name: str, **values: str | Pair) -> Pair:
        """Give a word in both languages; a value that is itself a pair is filled in by language."""
        en, fr = self._pairs[name]
        return (
            en.format_map({k: v if isinstance(v, str) else v[0] for k, v in values.items()}),
            fr.format_map({k: v if isinstance(v, str) else v[1] for k, v in values.items()}),
        )

    def both(self, name: str, **values: str | Pair) -> str:
        """Give a word as HTML that shows the language of the page."""
        return both(self.pair(name, **values))

    def label(self, name: str, **values: str | Pair) -> str:
        """Give the attributes of an accessible name that follows the language of the page."""
        return label(self.pair(name, **values))

    def starting(self, prefix: str) -> Mapping[str, Pair]:
        """Give the words whose name begins with ``prefix``, without it."""
        return {name.removeprefix(prefix): pair for name, pair in self._pairs.items() if name.startswith(prefix)}


def both(pair: Pair) -> str:
    """Write both languages; style shows that of the page. What is the same in both is written once.

    >>> both(("Side", "Côté"))
    '<span class="ui" lang="en">Side</span><span class="ui" lang="fr">Côté</span>'
    """
    return "".join(
        f'<span class="ui" lang="{lang}">{escape(text)}</span>' for lang, text in zip(LANGUAGES, pair, strict=True)
    )


def label(pair: Pair) -> str:
    """Write the attributes of an accessible name.

    >>> label(("Next", "Suivant"))
    'aria-label="Next" data-label-en="Next" data-label-fr="Suivant"'
    """
    en, fr = (escape(text, quote=True) for text in pair)
    return f'aria-label="{en}" data-label-en="{en}" data-label-fr="{fr}"'
