"""Echoes: said again at once in the other language, it counts once."""

from __future__ import annotations

import pytest

from build import tell
from otochron.model import Record


def echoed(record: Record) -> list[str]:
    """Surfaces that repeat an earlier one."""
    return [m.surface for m in record.mentions if m.echo_of]


@pytest.mark.parametrize(
    ("texts", "surfaces"),
    [
        (["the chorda tympani is right there", "la corde du tympan passe juste devant"], ["corde du tympan"]),
        (["le geyser non pas de geyser", "no gusher"], ["gusher"]),
        # The same language is no echo, another status neither.
        (["the incus is here", "the incus is thin"], []),
        (["the facial nerve is dehiscent", "le facial n'est pas déhiscent"], ["facial"]),
    ],
)
def test_mentions_echo_in_the_other_language(texts: list[str], surfaces: list[str]) -> None:
    assert echoed(tell(*texts)) == surfaces


@pytest.mark.parametrize(
    ("texts", "values"),
    [
        (
            ["the piston is four and a half millimetres", "quatre millimètres et demi le piston"],
            [(4.5, False), (4.5, True)],
        ),
        (
            ["the piston is four and a half millimetres", "le piston fait quatre millimètres"],
            [(4.5, False), (4.0, False)],
        ),
    ],
)
def test_sizes_echo_only_when_they_agree(texts: list[str], values: list[tuple[float, bool]]) -> None:
    assert [(m.value, m.echo_of is not None) for m in tell(*texts).measurements] == values


def test_said_in_both_languages_is_one_fact_with_both_places() -> None:
    case = tell("general anaesthesia", "anesthésie générale").case
    assert [i.concept for i in case.anaesthesia] == ["general-anaesthesia"]
    assert len(case.anaesthesia[0].evidence) == 2
