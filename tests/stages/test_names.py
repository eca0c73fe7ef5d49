"""Names that no word list can know are kept word for word; all names here are invented."""

from __future__ import annotations

import pytest

from build import say
from otochron.lexicon import load
from otochron.model import Lang
from otochron.stages.mentions import find_mentions
from otochron.stages.names import find_names


@pytest.mark.parametrize(
    ("lang", "text", "names"),
    [
        ("en", "now i put in a zibrulonix and it sits well", [("zibrulonix", "implant")]),
        ("en", "the zibrulonix comes out on day five", [("zibrulonix", "packing")]),
        ("fr", "je pose un zibrulonix sur la platine", [("zibrulonix", "implant")]),
        ("fr", "je pose un piston", []),
        ("en", "i put in a little more", []),
        ("en", "the zibrulonix is on the table", []),
    ],
)
def test_names_are_mentions_without_a_concept(lang: Lang, text: str, names: list[tuple[str, str]]) -> None:
    record = find_names(find_mentions(say(lang, text), load()), load())
    assert [(m.surface, m.kind) for m in record.mentions if m.concept is None] == names
