"""Spoken personal data: what is hidden and what is not. All names are invented."""

from __future__ import annotations

import pytest

from build import say
from otochron.lexicon import load
from otochron.lexicon.personal import personal_spans
from otochron.model import Lang
from otochron.stages.mentions import find_mentions


@pytest.mark.parametrize(
    ("lang", "text", "hidden"),
    [
        ("en", "this is mister brannock he hears badly", ["brannock"]),
        ("en", "his name is oliver brannock", ["oliver brannock"]),
        ("en", "doctor suction please", []),
        ("en", "born on the third of march now the incus", ["the third of march now"]),
        ("fr", "madame lortival est endormie", ["lortival"]),
        ("fr", "la patiente s'appelle lortival", ["lortival"]),
        ("fr", "docteur on a la platine", []),
        ("fr", "numéro de dossier quatre cinq deux neuf et voilà", ["quatre cinq deux neuf"]),
        ("fr", "merci madame", []),
    ],
)
def test_personal_data_is_found_by_what_announces_it(lang: Lang, text: str, hidden: list[str]) -> None:
    record = find_mentions(say(lang, text), load())
    assert [text[span.start : span.end] for span in personal_spans(record, load())] == hidden
