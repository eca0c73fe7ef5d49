"""Every form of a thing is found where it is said alone: no form cancels itself, none lies under another entry's."""

from __future__ import annotations

from otochron.lexicon import SPOKEN_KINDS, load
from otochron.lexicon.check import say
from otochron.model import Lang

_NOT_ALONE = frozenset({"action", "side"})
"""Verbs are claimed in their inflected forms, sides only within their sentence."""

_LANGUAGES: tuple[Lang, ...] = ("en", "fr")


def test_every_form_is_found_by_its_own_concept() -> None:
    lexicon = load()
    lost = [
        (entry.id, lang, form)
        for entry in lexicon.entries.values()
        if entry.kind in SPOKEN_KINDS - _NOT_ALONE
        for lang in _LANGUAGES
        if (tongue := getattr(entry, lang)) is not None
        for form in tongue.forms
        if not any(entry.id in hit.concepts for hit in lexicon.finder.find(say(form, lang)))
    ]
    assert lost == []
