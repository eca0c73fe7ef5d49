"""References: bare nouns, pronouns and descriptions get what they stand for, or stay null."""

from __future__ import annotations

import pytest

from build import tell
from otochron.model import Mention


def named(text: str, surface: str) -> list[str | None]:
    """What the mentions with a surface name or refer to."""
    return [m.concept or m.refers_to for m in tell(*text.split(" / ")).mentions if m.surface == surface]


@pytest.mark.parametrize(
    ("text", "surface", "concepts"),
    [
        ("the chorda is here i free it and i push it down", "it", ["chorda-tympani", "chorda-tympani"]),
        ("la platine est mobile elle n'est pas bloquée", "elle", ["stapes-footplate"]),
        ("la corde du tympan est là je la garde", "la", ["chorda-tympani"]),
        # What stands after a preposition is only where something is.
        ("the piston is in front of the incus and it is too long", "it", ["stapes-piston"]),
        # Gender: "elle" is not the masculine "étrier".
        ("la platine est fine sous l'étrier et elle est bleue", "elle", ["stapes-footplate"]),
        # The part named since is meant.
        ("on revient au facial la deuxième portion il est découvert", "il", ["tympanic-facial-segment"]),
        # A bare noun that several entries claim goes to what is spoken of.
        ("je coupe le col du marteau et j'enlève la tête", "tête", ["malleus-head"]),
        ("l'étrier est là je pousse sur la tête", "tête", ["stapes-head"]),
        # A bare part of the whole that is spoken of.
        ("the incus is thin but look the body is half eaten", "the body", ["incus-body"]),
        # Nothing was named: no mention at all.
        ("it is cold in here today", "it", []),
        ("il faut attendre un peu", "il", []),
    ],
)
def test_words_stand_for_what_is_spoken_of(text: str, surface: str, concepts: list[str | None]) -> None:
    assert named(text, surface) == concepts


def test_references_add_no_concept_and_change_no_word() -> None:
    record = tell("the footplate is mobile and it is thin")
    pronouns = [m for m in record.mentions if m.kind == "reference"]
    assert [(m.surface, m.concept, m.refers_to) for m in pronouns] == [("it", None, "stapes-footplate")]
    assert record.lines[0].text == record.lines[0].heard


def test_every_mention_has_an_id_of_its_own() -> None:
    mentions: tuple[Mention, ...] = tell(
        "right ear the drum is here i lift it the left ear was done last year"
    ).mentions
    assert len({m.id for m in mentions}) == len(mentions)
