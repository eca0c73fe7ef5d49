"""Procedures, implants, grafts, tissue, drugs and the rest: done, planned, supposed or denied."""

from __future__ import annotations

import pytest

from build import tell
from otochron.model import Case, Item

Row = tuple[str | None, str]


def rows(items: tuple[Item, ...]) -> list[Row]:
    """Concept and status of each item."""
    return [(i.concept, i.status) for i in items]


def field(case: Case, name: str) -> tuple[Item, ...]:
    """One family of facts by its name."""
    found: tuple[Item, ...] = getattr(case.tissue if name in {"removed", "altered"} else case, name)
    return found


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        # Procedures: naming is announcing; an "if" and a thought are not done.
        ("procedures", "this is a stapedotomy", [("stapedotomy", "planned")]),
        ("procedures", "a stapedectomy was considered", [("stapedectomy", "uncertain")]),
        ("procedures", "a myringotomy was made in the drum", [("myringotomy", "affirmed")]),
        ("procedures", "we put a torp on the footplate", [("ossiculoplasty", "affirmed")]),
        # Implants.
        ("implants", "we put a torp on the footplate", [("torp", "affirmed")]),
        ("implants", "if the arch had been missing i would have put a torp", []),
        ("implants", "une prothèse totale dans un an", [("torp", "planned")]),
        ("implants", "give me the piston please", []),
        # Grafts: a part of the body is one only when it is taken; one in an "if" is none.
        ("grafts", "i take the temporalis fascia and i place it under the handle", [("temporalis-fascia", "affirmed")]),
        ("grafts", "down to the temporalis fascia but we leave that alone", []),
        ("grafts", "if the footplate floats i would use a vein graft", []),
        # Tissue.
        ("removed", "the incus is out", [("incus", "affirmed")]),
        ("removed", "i take the incus out", [("incus", "affirmed")]),
        ("removed", "then the incus will come out", []),
        ("altered", "je coupe la corde du tympan", [("chorda-tympani", "affirmed")]),
        ("altered", "i thought the chorda was cut but no", []),
        ("altered", "snip at the neck above the chorda", []),
        # Specimens, complications, closure, packing.
        ("specimens", "le cholestéatome part en anapath", [("cholesteatoma", "affirmed")]),
        ("complications", "no complication", [("complication-term", "negated")]),
        ("complications", "no gusher", [("gusher", "negated")]),
        (
            "complications",
            "no dural tear no csf leak no bleeding",
            [("dural-tear", "negated"), ("csf-leak", "negated"), ("bleeding", "negated")],
        ),
        ("closure", "surjet intradermique no drain", [("subcuticular-suture", "affirmed"), ("wound-drain", "negated")]),
        ("closure", "skin closed with absorbable sutures", [("absorbable-suture", "affirmed")]),
        ("packing", "gelatin sponge in the middle ear", [("gelatin-sponge", "affirmed")]),
        # Anaesthesia and drugs.
        ("anaesthesia", "general anaesthesia", [("general-anaesthesia", "affirmed")]),
        ("drugs", "pas d'antibiotique", [("antibiotic", "negated")]),
        ("drugs", "irrigate with saline", []),
        ("drugs", "amoxicillin no she has only paracetamol", [("amoxicillin", "negated"), ("paracetamol", "affirmed")]),
        ("drugs", "allergie à la pénicilline", []),
        ("drugs", "vancomycin at induction", [("vancomycin", "affirmed")]),
        ("history", "allergic to penicillin", [("allergy", "affirmed")]),
        ("history", "pas d'allergie", [("allergy", "negated")]),
        # Requests.
        ("requests", "can i have the sickle knife please", [("sickle-knife", "affirmed")]),
        ("requests", "crimper please la pince à sertir", [("crimper", "affirmed")]),
        ("requests", "une fistule ça se garde pour la fin et jamais aspirateur dessus", []),
        ("requests", "saignement négligeable les compresses c'est bon", []),
        ("requests", "je décolle d'avant en arrière avec le décolleur et un petit coton", []),
        ("requests", "so i look for the annulus needle under it lift lift and we are in", []),
        ("requests", "ça colle à l'aspirateur regarde ce fil", []),
        ("requests", "keep the sucker behind the round knife and never on the skin", []),
        # Taken back at once, on another part of the body, part of a name, told before the operation.
        ("altered", "i cut the tensor tendon no i keep it", []),
        ("altered", "je sectionne le tendon du tenseur non je le garde", []),
        ("closure", "two strips of silk no i don't do that anymore", []),
        ("closure", "one stitch on the hand", []),
        ("packing", "piston with the ribbon loop", []),
        ("complications", "i was ready to tell you gusher and it isn't one", [("gusher", "negated")]),
        ("complications", "complications none", [("complication-term", "negated")]),
        ("complications", "complication one incus luxation", [("incus-luxation", "affirmed")]),
        ("grafts", "you see a little vein coming off the suture", []),
        ("implants", "i thought of going to the malleus with a malleus piston", []),
        ("drugs", "allergies penicillin", []),
        # What is taken off is an amount, or an implant of an earlier operation.
        ("removed", "we take away a quarter of a millimetre from the footplate to the incus", []),
        ("removed", "revision of the stapes the old piston is out", [("stapes-piston", "affirmed")]),
        ("removed", "la vieille feuille de silicone est retirée", [("silicone-sheet", "affirmed")]),
        (
            "specimens",
            "the cholesteatoma is out in one piece and it goes to pathology",
            [("cholesteatoma", "affirmed")],
        ),
        (
            "approaches",
            "endaural approach because a retroauricular hurts for a month",
            [("endaural-approach", "affirmed")],
        ),
        # What is to be taken afterwards is in the plan.
        ("drugs", "so the plan is prednisolone for five days", []),
        (
            "drugs",
            "lidocaine with one in two hundred thousand epi",
            [("lidocaine", "affirmed"), ("adrenaline", "affirmed")],
        ),
        ("implants", "i thought about a partial prosthesis for a moment", []),
        # A drug whose kind is denied.
        ("drugs", "amoxicilline non pas d'antibiotique après", [("amoxicillin", "negated"), ("antibiotic", "negated")]),
    ],
)
def test_facts_keep_their_status(name: str, text: str, found: list[Row]) -> None:
    assert rows(field(tell(text).case, name)) == found


def test_a_stage_named_before_anything_is_opened_is_todays() -> None:
    texts = (
        "second stage",
        "left ear confirmed",
        "incise the canal skin with the round knife",
        "raise the flap it is up",
    )
    assert rows(tell(*texts).case.procedures) == [("second-stage", "affirmed")]


def test_dilution_stays_with_its_drug() -> None:
    drugs = {i.concept: i.attributes for i in tell("lidocaine with adrenaline one in two hundred thousand").case.drugs}
    assert drugs == {"lidocaine": {}, "adrenaline": {"dilution": "1:200000"}}


def test_an_implant_holds_its_last_size_and_where_it_is_kept() -> None:
    record = tell(
        "the piston is point six", "first i cut the piston to four seventy-five", "now i cut the piston to four and a half",
        "the piston is in",
    )  # fmt: skip
    sizes = {m.id: m.value for m in record.measurements}
    (piston,) = record.case.implants
    assert (sizes.get(piston.length or ""), sizes.get(piston.diameter or "")) == (4.5, 0.6)


def test_packs_are_apart_by_place_and_know_when_they_come_out() -> None:
    case = tell(
        "gelatin sponge in the middle ear", "gelatin sponge in the canal and an ear wick", "so the plan is",
        "wick out at day seven",
    ).case  # fmt: skip
    found = {(i.concept, i.attributes.get("place"), i.attributes.get("removal")) for i in case.packing}
    assert ("gelatin-sponge", "tympanic-cavity", None) in found
    assert ("gelatin-sponge", "ear-canal", None) in found
    assert ("ear-wick", "ear-canal", "P7D") in found


def test_cautions_are_about_what_is_at_stake() -> None:
    (caution,) = tell("be careful with the facial nerve here").case.cautions
    assert "facial-nerve" in caution.about
    assert caution.text


@pytest.mark.parametrize(
    ("texts", "system", "value"),
    [
        (["what is left is the malleus and the stapes"], "Austin-Kartush", "A"),
        (["malleus incus and stapes are mobile"], "Austin-Kartush", "O"),
        (["austin type b"], "Austin-Kartush", "B"),
        (["There is cholesteatoma in the attic. There is cholesteatoma in the antrum."], "EAONO/JOS stage", "II"),
    ],
)
def test_classes_follow_from_what_was_told(texts: list[str], system: str, value: str) -> None:
    found = [c for c in tell(*texts).case.classifications if c.system == system]
    assert [c.value for c in found] == [value]
    assert all(c.source for c in found)


def test_no_total_with_holes() -> None:
    systems = {c.system for c in tell("malleus incus and stapes are mobile", "no perforation").case.classifications}
    assert "MERI item" in systems
    assert "MERI" not in systems
