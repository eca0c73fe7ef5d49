"""Finding forms: inflection, elision, articles, accents, languages, cancelling phrases."""

from __future__ import annotations

import pytest

from build import lexicon
from otochron.lexicon.check import check, say
from otochron.model import Lang

TINY = lexicon(
    """
[footplate]
kind = "structure"
source = "test"
[footplate.en]
forms = ["footplate", "footplate of the stapes"]
not_in = ["footplate pedal"]
yes = ["the footplate is thin"]
[footplate.fr]
forms = ["platine", "platine de l'étrier"]
yes = ["la platine est fine"]

[flap]
kind = "structure"
source = "test"
[flap.en]
forms = ["tympano-meatal flap"]
yes = ["raise the tympanomeatal flap"]
[flap.fr]
forms = ["lambeau tympano-méatal"]
yes = ["je décolle le lambeau tympano-méatal"]

[holder]
kind = "instrument"
source = "test"
[holder.en]
forms = ["speculum holder"]
yes = ["the speculum holder"]
[holder.fr]
forms = ["porte-spéculum"]
yes = ["le porte-spéculum"]

[raise]
kind = "action"
source = "test"
[raise.en]
forms = ["raise"]
yes = ["i am raising it"]
[raise.fr]
forms = ["soulever"]
yes = ["je soulève"]

[fixed]
kind = "finding"
source = "test"
[fixed.en]
forms = ["fixed"]
not_in = ["fixed the"]
yes = ["it is fixed"]
[fixed.fr]
forms = ["bloqué", "trop serré"]
yes = ["elle est bloquée"]
"""
)


@pytest.mark.parametrize(
    ("lang", "text", "surfaces"),
    [
        ("en", "the footplate of stapes and two footplates", ["footplate of stapes", "footplates"]),
        ("en", "press the footplate pedal", []),
        ("en", "fixed the footplate is fixed", ["footplate", "fixed"]),
        ("en", "a tympano meatal flap a tympanomeatal flap", ["tympano meatal flap", "tympanomeatal flap"]),
        ("en", "i raised and i am raising", ["raised", "raising"]),
        ("fr", "la platine de étrier puis les platines", ["platine de étrier", "platines"]),
        ("fr", "PLATINE DE L’ETRIER", ["PLATINE DE L’ETRIER"]),
        ("fr", "le lambeau tympanoméatal", ["lambeau tympanoméatal"]),
        ("fr", "je soulève on soulevait soulevée", ["soulève", "soulevait", "soulevée"]),
        ("fr", "bloqué bloquée bloquées", ["bloqué", "bloquée", "bloquées"]),
        ("fr", "elle est trop serrée", ["trop serrée"]),
        ("en", "la platine is fixed", ["platine", "fixed"]),
        ("fr", "le porte-spéculum", ["porte-spéculum"]),
        ("fr", "le porte spéculum", ["porte spéculum"]),
        ("fr", "il porte le spéculum", []),
    ],
)
def test_finder_finds_forms_as_spoken(lang: Lang, text: str, surfaces: list[str]) -> None:
    words = say(text, lang)
    found = [text[words[h.first].start : words[h.last - 1].end] for h in TINY.finder.find(words)]
    assert found == surfaces


def test_finder_does_not_cross_a_sentence_mark() -> None:
    words = say("platine", "fr")
    assert [h.concepts for h in TINY.finder.find(words)] == [("footplate",)]


BROKEN = [
    (
        "LEX03",
        '[Bad_Id]\nkind="drug"\nsource="s"\n[Bad_Id.en]\nforms=["lidocaine"]\nyes=["lidocaine"]\n[Bad_Id.fr]\nnone="x"',
    ),
    ("LEX04", '[a]\nkind="drug"\nsource="s"\n[a.en]\nforms=["lidocaine"]\nyes=["lidocaine"]'),
    (
        "LEX05",
        '[a]\nkind="drug"\nsource="s"\n[a.en]\nforms=["pasta"]\nyes=["pasta"]\n[a.fr]\nnone="x"\n'
        '[b]\nkind="drug"\nsource="s"\n[b.en]\nforms=["pasta"]\nyes=["pasta"]\n[b.fr]\nnone="x"',
    ),
    (
        "LEX06",
        '[a]\nkind="drug"\nsource="s"\npart_of=["nothing"]\n[a.en]\nforms=["pasta"]\nyes=["pasta"]\n[a.fr]\nnone="x"',
    ),
    ("LEX07", '[a]\nkind="drug"\nsource="s"\n[a.en]\nforms=["pasta"]\n[a.fr]\nnone="x"'),
    ("LEX08", '[a]\nkind="drug"\nsource="s"\n[a.en]\nforms=["pasta"]\nyes=["bread"]\n[a.fr]\nnone="x"'),
    ("LEX09", '[a]\nkind="drug"\n[a.en]\nforms=["pasta"]\nyes=["pasta"]\n[a.fr]\nnone="x"'),
    (
        "LEX10",
        '[a]\nkind="drug"\nsource="s"\n[a.en]\nforms=["pasta"]\nnot_in=["red wine"]\nyes=["pasta"]\n[a.fr]\nnone="x"',
    ),
]


@pytest.mark.parametrize(("code", "text"), BROKEN, ids=[code for code, _ in BROKEN])
def test_checks_tell_each_mistake_by_its_code(code: str, text: str) -> None:
    assert {problem.split()[0] for problem in check(lexicon(text))} == {code}
