"""Status by cue and scope, in both languages and across switches.

In the tables a target is written ``{surface|kind|status}``; ``[en]`` and ``[fr]`` switch the language, and
``/`` ends a clause. The sentences are invented.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from otochron.lexicon import load
from otochron.lexicon.check import say
from otochron.model import Clause, Lang, Line, Measurement, Mention, Record, Span, Status
from otochron.stages.status import read_status, statuses
from otochron.text.normal import key
from otochron.text.stream import Word, split_words
from script import Script, read_folder

SCRIPTS = Path(__file__).parent.parent / "scripts"
_PIECE = re.compile(r"\[(en|fr)\]|\{([^|}]*)\|([^|}]*)\|([^|}]*)\}|(/)|([^\s{}\[\]/]+)")


def spoken(place: int, text: str, language: str) -> Word:
    """Make a word of a stream."""
    return Word(place, text, key(text), "line-1", 0, 0, 0, 0, "fr" if language == "fr" else "en")


def read(sentence: str) -> tuple[list[str], list[Status]]:
    """Give the statuses wanted and found of the targets of a written sentence."""
    words: list[Word] = []
    clauses: list[tuple[int, int]] = []
    targets: list[tuple[int, int, str]] = []
    wanted: list[str] = []
    language: Lang = "en"
    begun = 0

    def speak(text: str) -> None:
        for a, b in split_words(text):
            words.append(spoken(len(words), text[a:b], language))

    for switch, surface, kind, status, stop, word in _PIECE.findall(sentence):
        if switch:
            language = "fr" if switch == "fr" else "en"
        elif stop:
            clauses.append((begun, len(words)))
            begun = len(words)
        elif surface:
            first = len(words)
            speak(surface)
            targets.append((first, len(words), kind))
            wanted.append(status)
        else:
            speak(word)
    clauses.append((begun, len(words)))
    return wanted, statuses(words, clauses, targets, load())


DENIED = [
    "[en] there is no {tear|finding|negated} in the {drum|structure|affirmed}",
    "[en] the {chorda|structure|affirmed} is not {cut|finding|negated}",
    "[en] no {leak|finding|negated} no {tear|finding|negated} the {flap|graft|affirmed} is back",
    "[en] i can't see the {round window|landmark|negated} from here",
    "[en] without any {bleeding|complication|negated} or {swelling|finding|negated}",
    "[en] hardly any {mucus|finding|negated} in the {attic|landmark|affirmed}",
    "[en] the {polyp|finding|negated} has disappeared",
    "[en] it does not touch the {dura|structure|affirmed}",
    "[en] nothing is {eroded|finding|negated}",
    "[fr] pas de {fuite|finding|negated} autour du {piston|implant|affirmed}",
    "[fr] la {corde|structure|affirmed} n'est pas {sectionnée|finding|negated}",
    "[fr] la {corde|structure|affirmed} est pas {sectionnée|finding|negated} du tout",
    "[fr] il y a plus de {polype|finding|negated} dans la {caisse|landmark|affirmed}",
    "[fr] sans {saignement|complication|negated} ni {œdème|finding|negated}",
    "[fr] aucune {lyse|finding|negated} de {l'enclume|structure|affirmed}",
    "[fr] je ne vois pas la {fenêtre ronde|landmark|negated}",
    "[fr] des {croûtes|finding|negated} y en a pas",
    "[fr] on ne touche pas à la {dure-mère|structure|affirmed}",
    "[fr] je coupe sans tirer sur la {corde|structure|affirmed}",
    "[fr] je le pose sans toucher la {dure-mère|structure|affirmed}",
    "[en] roll it in without lifting the {graft|graft|affirmed}",
    "[fr] il n'a pas vu la {platine|structure|negated} [en] the {malleus|structure|affirmed} was fine",
    "[en] {allergies|finding|negated} none",
    "[en] the {mucosa|structure|affirmed} is good not needed",
    "[fr] pas de {fuite|finding|negated} [en] and no {tear|finding|negated} [fr] de ce côté",
    "[en] the {footplate|structure|affirmed} [fr] n'est pas [en] {floating|finding|negated}",
]
NOT_DENIED = [
    "[en] no doubt this is a {fistula|disease|affirmed}",
    "[en] not only the {incus|structure|affirmed} but the {malleus|structure|affirmed} too",
    "[en] no no no leave the {drill|instrument|affirmed} on",
    "[en] cut it to four no {four and a half|measurement|affirmed}",
    "[en] no the {sucker|instrument|affirmed} please",
    "[en] the {flap|graft|affirmed} is back no",
    "[en] give me the {hook|instrument|affirmed} no problem",
    "[fr] sans doute une {fistule|disease|affirmed}",
    "[fr] il y a pas mal de {pus|finding|affirmed} là-dessous",
    "[fr] non non laissez la {fraise|instrument|affirmed}",
    "[fr] non c'est la {platine|structure|affirmed} ça",
    "[fr] encore un peu plus de {graisse|graft|affirmed}",
    "[fr] il reste plus que la {platine|structure|affirmed}",
    "[fr] le {lambeau|graft|affirmed} est bien là non",
]
DOUBTED = [
    "[en] maybe a small {fistula|disease|uncertain} there",
    "[en] i think the {incus|structure|affirmed} is {eroded|finding|uncertain}",
    "[en] is it a {dehiscence|finding|uncertain}",
    "[en] maybe {two millimetres|measurement|affirmed} of {bone|structure|affirmed}",
    "[en] it looks like {granulation|finding|uncertain}",
    "[fr] on dirait une {fistule|disease|uncertain}",
    "[fr] je crois que la {platine|structure|affirmed} est {fracturée|finding|uncertain}",
    "[fr] est-ce que c'est une {déhiscence|finding|uncertain}",
    "[fr] c'est peut-être [en] an {encephalocele|disease|uncertain}",
]
SUPPOSED = [
    "[fr] s'il reste un {trou|finding|hypothetical} / je ferai un {bouchon|graft|hypothetical}",
    "[en] if the {stapes|structure|hypothetical} comes out you need a {vein|graft|hypothetical}",
    "[en] had the {incus|structure|hypothetical} been loose it would be a {torp|implant|hypothetical}",
    "[en] i am afraid of a {gusher|complication|hypothetical}",
    "[en] hold it away to avoid a {burn|complication|hypothetical}",
    "[en] the {facial|structure|affirmed} is here but if you slip it is a {palsy|finding|hypothetical}",
    "[fr] si le {lambeau|graft|hypothetical} se déchire / on mettra une {greffe|graft|hypothetical}",
    "[fr] j'ai peur d'une {fuite|finding|hypothetical}",
    "[fr] j'aurais mis un {piston|implant|hypothetical} plus court",
    "[fr] je vais lentement pour éviter la {brûlure|complication|hypothetical}",
    "[fr] pourvu que la {dure-mère|structure|hypothetical} tienne",
    "[en] if it bleeds [fr] on met une {éponge|packing|hypothetical}",
]
PLANNED = [
    "[fr] {mèche|packing|planned} quatre semaines",
    "[fr] {otorrhée|disease|affirmed} quatre semaines",
    "[en] next i cut the {tendon|structure|planned}",
    "[en] i am going to lift the {annulus|structure|planned} but first i see the {drum|structure|affirmed}",
    "[en] we'll put the {prosthesis|implant|planned} later",
    "[en] {sponges|packing|planned} out in three weeks",
    "[fr] je vais couper le {tendon|structure|planned}",
    "[fr] on posera la {prothèse|implant|planned} au deuxième temps",
    "[fr] je dégage la {fenêtre|landmark|affirmed} avant de poser le {piston|implant|planned}",
    "[fr] {audiogramme|test|planned} dans six semaines",
    "[en] this is a {stapedotomy|procedure|planned} for {otosclerosis|disease|affirmed}",
    "[fr] le {tendon|structure|planned} je vais le couper",
    "[en] i will lift the {flap|graft|planned} the {facial|structure|affirmed} is covered",
    "[fr] on va poser le {piston|implant|planned} parce que la {platine|structure|affirmed} est ouverte",
    "[en] now i'm cutting the {tendon|structure|affirmed}",
    "[fr] là je coupe le {tendon|structure|affirmed}",
    "[en] i have cut the {tendon|structure|affirmed} and i took the {incus|structure|affirmed} out",
    "[fr] j'ai coupé le {tendon|structure|affirmed}",
    "[en] i will [fr] retirer [en] the {incus|structure|planned}",
]
RULES = [
    "[fr] une {fistule|finding|general} ça se garde pour la fin",
    "[fr] un {massif|structure|general} haut c'est la première cause",
    "[fr] il n'y a pas de {fistule|finding|negated} c'est une {ligne|finding|affirmed} bleue",
    "[en] i always cover the {plate|implant|general} with {cartilage|graft|general}",
    "[en] i always add {half a millimetre|measurement|general}",
    "[en] usually the {facial|structure|general} runs just above",
    "[fr] en général je mets une {éponge|packing|general} dessous",
    "[fr] on tire jamais la {chaîne|structure|general}",
    "[fr] d'habitude quand la {platine|structure|general} est dure / j'ajoute {un demi|measurement|general}",
    "[en] it has never been {infected|finding|negated}",
    "[fr] elle n'a jamais eu de {vertiges|finding|negated}",
]
PAST = [
    "[en] she had a {columella|implant|past} but the {drum|structure|affirmed} is closed",
    "[en] the other ear was done ten years ago with a {piston|implant|past}",
    "[en] another patient had a {fistula|disease|past}",
    "[fr] l'an dernier il a eu une {otite|disease|past}",
    "[fr] à l'autre oreille on avait mis une {prothèse|implant|past}",
    "[en] as we saw a moment ago the {incus|structure|affirmed} is short",
]
TAKEN_BACK = [
    "[en] the {right|side|retracted} no sorry the {left|side|affirmed}",
    "[en] under the {incus|structure|retracted} i mean the {malleus|structure|affirmed}",
    "[fr] à {droite|side|retracted} non pardon à {gauche|side|affirmed}",
    "[fr] un piston de {quatre|measurement|retracted} enfin non [en] {four and a half|measurement|affirmed}",
    "[en] sorry can you move the {lamp|instrument|affirmed}",
]


@pytest.mark.parametrize("sentence", [*DENIED, *NOT_DENIED, *DOUBTED, *SUPPOSED, *PLANNED, *RULES, *PAST, *TAKEN_BACK])
def test_status_follows_cue_and_scope(sentence: str) -> None:
    """Each target of the sentence has the status written beside it."""
    wanted, found = read(sentence)
    assert wanted == found


def test_teaching_is_a_rule_unless_it_points() -> None:
    """What is told to learners is general; what they are shown is there."""
    said = say("the facial nerve runs above the oval window", "en") + say("you see the facial nerve here", "en")
    clauses = [(0, 8), (8, 13)]
    targets = [(1, 3, "structure"), (11, 12, "structure")]
    assert statuses(said, clauses, targets, load(), [True, True]) == ["general", "affirmed"]


def test_record_keeps_measurements_taken_back() -> None:
    """The stage sets mentions and measurements, and leaves what the numbers stage took back."""
    text = "no tear and four millimetres"
    place: dict[str, Any] = {"line": "line-1", "to_line": "line-1", "start_ms": 0, "end_ms": 900}
    tear = Mention(id="m", **place, start=3, end=7, surface="tear", concept=None, kind="finding", language="en")
    length = Measurement(
        id="n",
        **place,
        start=12,
        end=28,
        surface="4 mm",
        quantity="size",
        value=4.0,
        unit="mm",
        status="retracted",
    )
    record = Record(
        lines=(Line(id="line-1", start_ms=0, end_ms=900, heard=text, text=text),),
        clauses=(Clause(id="c", span=Span(**place, start=0, end=len(text)), language="en"),),
        mentions=(tear,),
        measurements=(length,),
    )
    read_record = read_status(record, load())
    assert read_record.mentions[0].status == "negated"
    assert read_record.measurements[0].status == "retracted"


def script_statuses(script: Script) -> list[tuple[str, str]]:
    """Give (gold, found) of every mark of a script, with its own languages, and its statements as clauses."""
    lexicon = load()
    words: list[Word] = []
    clauses: list[tuple[int, int]] = []
    targets: list[tuple[int, int, str]] = []
    wanted: list[str] = []
    for statement in script.statements:
        first = len(words)
        starts = []
        for text, language in zip(statement.words, statement.languages, strict=True):
            starts.append(len(words))
            for a, b in split_words(text):
                words.append(spoken(len(words), text[a:b], language))
        starts.append(len(words))
        clauses.append((first, len(words)))
        for mark in statement.marks:
            hits = lexicon.finder.find(say(mark.term or "", "en"))
            kind = lexicon[hits[-1].concepts[0]].kind if hits else "finding"
            targets.append((starts[mark.first], starts[mark.last], kind))
            wanted.append(mark.status)
    taught = [statement.register == "teaching" for statement in script.statements]
    return list(zip(wanted, statuses(words, clauses, targets, lexicon, taught), strict=True))


def test_scripts_statuses() -> None:
    """On the scripts used to develop 93 of 100 mentions are right; the scripts kept apart are printed."""
    shares = {}
    for kept_apart in (False, True):
        pairs = [
            pair
            for script in read_folder(SCRIPTS)
            if (script.header.get("report") == "yes") is kept_apart
            for pair in script_statuses(script)
        ]
        shares[kept_apart] = sum(gold == found for gold, found in pairs) / len(pairs)
    print(f"status of mentions: scripts {shares[False]:.3f}, scripts kept apart {shares[True]:.3f}")
    assert shares[False] >= 0.93


@pytest.mark.parametrize(
    ("text", "concept", "status"),
    [
        ("le facial je ne l'ai jamais vu à nu", "dehiscent", "negated"),
        ("je n'enlève plus rien", "remove", "negated"),
        ("i do not remove the footplate", "remove", "negated"),
    ],
)
def test_denials_in_two_words_and_denied_acts(text: str, concept: str, status: str) -> None:
    from build import tell

    assert [m.status for m in tell(text).mentions if m.concept == concept] == [status]
