"""Findings: what, where, there or not, and the state that holds last."""

from __future__ import annotations

import pytest

from build import tell

Row = tuple[str | None, str | None, str]


def findings(*texts: str) -> list[Row]:
    """Structure, finding and status of each finding."""
    return sorted((f.structure, f.finding, f.status) for f in tell(*texts).case.findings)


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("the facial nerve is dehiscent", [("facial-nerve", "dehiscent", "present")]),
        ("the facial nerve is not dehiscent", [("facial-nerve", "dehiscent", "absent")]),
        ("le nerf facial est couvert", [("facial-nerve", "dehiscent", "absent")]),
        ("la platine est bloquée", [("stapes-footplate", "fixed", "present")]),
        # Listed structures share a finding; each finding goes to its own structure.
        (
            "malleus incus stapes everything is mobile",
            [(s, "mobile", "present") for s in ("incus", "malleus", "stapes")],
        ),
        (
            "le manche du marteau est mobile la longue apophyse de l'enclume est lysée",
            [("incus-long-process", "eroded", "present"), ("malleus-handle", "mobile", "present")],
        ),
        # A denial without a place is of the place where it belongs.
        ("pas de fistule", [("lateral-semicircular-canal", "labyrinthine-fistula", "absent")]),
        ("pas d'épanchement", [("tympanic-cavity", "effusion", "absent")]),
        # Gone, and only not seen.
        ("il n'y a plus d'arche", [("stapes-superstructure", "absent", "present")]),
        ("i do not see the arch", []),
        # A reflex looked for.
        ("round window reflex i put a drop and i press there is none", [("round-window-reflex", "absent", "present")]),
        ("bon réflexe de la fenêtre ronde", [("round-window-reflex", "present", "present")]),
        # Acts leave findings behind.
        ("la corde du tympan est là je la garde", [("chorda-tympani", "preserved", "present")]),
        ("je coupe la corde du tympan", [("chorda-tympani", "cut", "present")]),
        # A noun of a finding says what it is of; a part that is not seen denies nothing.
        ("the head of the stapes lyse de la longue apophyse", [("incus-long-process", "eroded", "present")]),
        ("i can't see the bottom of that pocket", []),
        # "No" said after the thing.
        (
            "pus no granulation yes lots of it",
            [("tympanic-cavity", "granulation", "present"), ("tympanic-cavity", "purulent", "absent")],
        ),
        ("this is the corner i left a pearl in with another patient the attic", []),
        ("a sclerotic rim", []),
        (
            "the sigmoid sinus is covered ça saigne en arrière j'ai cru que c'était le sinus",
            [("sigmoid-sinus", "dehiscent", "absent")],
        ),
        ("facial monitor impedances are good", []),
        ("le manche est tout rétracté", []),
        ("une perforation qui a lâché deux fois", [("tympanic-membrane", "perforation", "present")]),
        (
            "il dit perforation subtotale mais non",
            [("perforation", "subtotal", "absent"), ("tympanic-membrane", "perforation", "absent")],
        ),
        ("bulbe jugulaire pas haut", [("jugular-bulb", "high-riding", "absent")]),
        ("half of the long process is gone", [("incus-long-process", "eroded", "present")]),
        ("corde du tympan i hoped to keep it but no", [("chorda-tympani", "preserved", "absent")]),
        ("petit cholestéatome attical l'antre est aéré", []),
        (
            "facial recess clean is that a pearl",
            [("facial-recess", "clean", "present"), ("facial-recess", "epithelial-pearl", "uncertain")],
        ),
        ("the chorda was cut last time", [("chorda-tympani", "cut", "present")]),
        ("last time the middle ear was full of glue", []),
        # Supposed, planned, usual: none.
        ("if the footplate is fixed we stop", []),
        ("usually the footplate is thin", []),
    ],
)
def test_findings_are_paired_with_their_structure(text: str, rows: list[Row]) -> None:
    assert findings(text) == rows


def test_what_was_feared_and_then_denied_is_absent_with_its_history() -> None:
    found = tell("i feared a fistula of the lateral canal", "there is no fistula").case.findings
    assert [(f.finding, f.status, [h.status for h in f.history]) for f in found] == [
        ("labyrinthine-fistula", "absent", ["uncertain", "absent"])
    ]


def test_the_opposite_told_later_ends_a_finding() -> None:
    found = {f.finding: f for f in tell("the stapes could be fixed", "now the stapes is mobile").case.findings}
    assert found["mobile"].status == "present"
    assert [h.status for h in found["fixed"].history] == ["uncertain", "absent"]


def test_what_was_not_mentioned_is_not_in_the_record() -> None:
    assert findings("the music is too loud in here") == []
