"""Fill in the messages of checks in both languages."""

from __future__ import annotations

from collections.abc import Sequence

from otochron.lexicon import Lexicon
from otochron.model import Bilingual, Check, Lang, Record, Span
from otochron.text.stream import surface

_LANGUAGES: tuple[Lang, ...] = ("en", "fr")
Value = str | dict[Lang, str]


class Wording:
    """Makes checks from the messages of the lexicon."""

    def __init__(self, record: Record, lexicon: Lexicon) -> None:
        self.record = record
        self.lexicon = lexicon

    def check(self, code: str, evidence: Sequence[Span] = (), **values: Value) -> Check:
        """Make the check of a code; a value may differ by language."""
        entry = self.lexicon.get(code)
        texts = {lang: (entry.tongue(lang).text if entry else None) or code for lang in _LANGUAGES}
        level = str(entry.values.get("level", "look")) if entry else "look"
        filled = {
            lang: texts[lang].format_map({k: v if isinstance(v, str) else v[lang] for k, v in values.items()})
            for lang in _LANGUAGES
        }
        return Check.model_validate(
            {
                "code": code,
                "level": level,
                "message": Bilingual(**filled),
                "evidence": tuple(e.span() for e in evidence),
            }
        )

    def name(self, concept: str | None) -> dict[Lang, str]:
        """Name a concept in both languages."""
        return {lang: self.lexicon.label(concept, lang) for lang in _LANGUAGES}

    def names(self, concepts: Sequence[str]) -> dict[Lang, str]:
        """Name several concepts."""
        return {lang: ", ".join(self.lexicon.label(c, lang) for c in concepts) for lang in _LANGUAGES}

    def said(self, span: Span) -> str:
        """Give the words of a span."""
        return surface(self.record, span)
