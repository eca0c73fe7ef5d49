"""Measurements: number, unit, what is measured, role, corrections, echoes, sums."""

from __future__ import annotations

import pytest

from build import say
from otochron.api import extract
from otochron.lexicon import load
from otochron.model import Lang, Measurement
from otochron.stages.checks.sizes import find as find_checks
from otochron.stages.checks.wording import Wording
from otochron.stages.measurements import read_measurements
from otochron.stages.mentions import find_mentions

Value = float | tuple[float | None, float | None] | None
Row = tuple[Value, str, str | None]


def read(lang: Lang, *texts: str) -> tuple[Measurement, ...]:
    """Read lines of one language."""
    lexicon = load()
    return read_measurements(find_mentions(say(lang, *texts), lexicon), lexicon).measurements


def rows(found: tuple[Measurement, ...]) -> list[Row]:
    """Give value (or bounds), unit and what of each."""
    return [(m.value if m.value is not None else (m.low, m.high), m.unit, m.of) for m in found]


@pytest.mark.parametrize(
    ("lang", "text", "found"),
    [
        # The unit between whole and decimals, before the fraction, once for two.
        ("fr", "un piston de quatre millimètres vingt-cinq", [(4.25, "mm", "stapes-piston")]),
        ("fr", "une perforation d'un millimètre et demi", [(1.5, "mm", "perforation")]),
        ("fr", "une perforation d'un millimètre cinq", [(1.5, "mm", "perforation")]),
        ("en", "a perforation of half a millimetre", [(0.5, "mm", "perforation")]),
        ("en", "a perforation of a millimetre and a half", [(1.5, "mm", "perforation")]),
        ("fr", "une perforation de trois quarts de millimètre", [(0.75, "mm", "perforation")]),
        ("en", "a piston of 4.5mm", [(4.5, "mm", "stapes-piston")]),
        # Pieces that were counted are cut from the cartilage, and are not all of it.
        (
            "fr",
            "cartilage de conque je taille deux palettes de cartilage j'affine à cinq dixièmes",
            [(0.5, "mm", "cartilage-graft")],
        ),
        # Products.
        ("en", "a point six by four and a half piston", [(0.6, "mm", "stapes-piston"), (4.5, "mm", "stapes-piston")]),
        (
            "fr",
            "aponévrose vingt millimètres sur quinze",
            [(20, "mm", "temporalis-fascia"), (15, "mm", "temporalis-fascia")],
        ),
        (
            "en",
            "tragal cartilage twelve by ten millimetres",
            [(12, "mm", "tragal-cartilage"), (10, "mm", "tragal-cartilage")],
        ),
        ("en", "i divide the adhesions of the piston one by one", []),
        # Ranges and bounds.
        ("en", "impedances between four and seven kilo ohms", [((4, 7), "kOhm", "electrode-contact")]),
        ("en", "a perforation of a millimetre or two", [((1, 2), "mm", "perforation")]),
        ("fr", "une perforation de deux trois millimètres", [((2, 3), "mm", "perforation")]),
        ("fr", "une perforation de deux à trois millimètres", [((2, 3), "mm", "perforation")]),
        # Ratios.
        ("fr", "adrénaline à un pour deux cent mille", [(0.000005, "1", "adrenaline")]),
        ("en", "adrenaline 1:100 000", [(0.00001, "1", "adrenaline")]),
        ("fr", "adrénaline au cent millième", [(0.00001, "1", "adrenaline")]),
        ("fr", "lidocaïne à un pour cent", [(1, "%", "lidocaine")]),
        # Places on the drum are places, hours are not.
        ("en", "a perforation from one to five o'clock", [((1, 5), "{clock}", "perforation")]),
        ("fr", "je trace le lambeau tympano-méatal de midi à six heures", [((12, 6), "{clock}", "tympanomeatal-flap")]),
        ("fr", "je soulève l'annulus à sept heures", [(7, "{clock}", "tympanic-annulus")]),
        ("fr", "le prochain patient est à onze heures du matin", []),
        ("fr", "repos pendant deux heures", [(2, "h", None)]),
        # Numbers that are names, articles, ages.
        ("fr", "lame quinze", []),
        ("fr", "le sept est déhiscent", []),
        ("fr", "ablation de la mèche à j sept", []),
        ("en", "electrode twelve", []),
        ("en", "this one is the one", []),
        ("fr", "une dame de quarante-trois ans", []),
        ("en", "closed with five zero thread", []),
        ("en", "in a second i take the drum", []),
        # Bare numbers take the unit of what stands near.
        ("fr", "stimulation du facial à trois dixièmes", [(0.3, "mA", "facial-nerve")]),
        ("fr", "fraise diamantée de quatre", [(4, "mm", "diamond-burr")]),
        ("en", "speculum please a four", [(4, "mm", "ear-speculum")]),
        ("en", "three skin sutures", [(3, "1", "skin-suture")]),
        ("en", "i see three things", []),
        # Time.
        ("en", "no nose blowing for three weeks", [(3, "wk", None)]),
        ("fr", "une demi-heure", [(30, "min", None)]),
    ],
)
def test_amounts_are_read_with_unit_and_what(lang: Lang, text: str, found: list[Row]) -> None:
    assert rows(read(lang, text)) == found


@pytest.mark.parametrize(
    ("lang", "text", "found"),
    [
        ("fr", "rinne à quatre-vingt-cinq décibels", (85, ())),
        ("fr", "un piston de quatre vingt-cinq", (4.25, (85, 4.25))),
        ("en", "a porp of two twenty-five", (2.25, (225, 2.25))),
        ("en", "the electrode array is at six forty degrees", (640, (640, 6.4))),
        ("fr", "il y a quatre vingt-cinq millimètres", (None, (85, 4.25))),
    ],
)
def test_ambiguous_numbers_are_decided_by_what_is_measured(
    lang: Lang, text: str, found: tuple[float | None, tuple[float, ...]]
) -> None:
    (one,) = read(lang, text)
    assert (one.value, one.readings if found[1] else ()) == found


@pytest.mark.parametrize(
    ("lang", "text", "value", "of"),
    [
        ("en", "the perforation takes two thirds of the pars tensa", 2 / 3, "perforation"),
        ("fr", "la pars tensa fait quatre cinquièmes du tympan", 0.8, "pars-tensa"),
    ],
)
def test_a_share_of_a_thing_needs_no_unit(lang: Lang, text: str, value: float, of: str) -> None:
    found = read_measurements(find_mentions(say(lang, text), load()), load()).measurements
    assert [(m.of, m.unit, m.dimension) for m in found] == [(of, "1", "share")]
    assert found[0].value == pytest.approx(value)


def test_bounds_and_about_are_kept() -> None:
    (less,) = read("en", "a perforation of less than three millimetres")
    (more,) = read("fr", "une perforation d'au moins trois millimètres")
    (about,) = read("fr", "une perforation d'environ trois millimètres")
    assert (less.value, less.low, less.high) == (3, None, 3)
    assert (more.value, more.low, more.high) == (3, 3, None)
    assert about.approximate
    assert not less.approximate


@pytest.mark.parametrize(
    ("lang", "lines"),
    [
        ("en", ("the piston is five", "five millimetres long")),
        ("en", ("the piston is five five millimetres long",)),
    ],
)
def test_a_restart_across_lines_is_one_number(lang: Lang, lines: tuple[str, ...]) -> None:
    assert rows(read(lang, *lines)) == [(5, "mm", "stapes-piston")]


@pytest.mark.parametrize(
    ("lang", "text"),
    [
        ("en", "i cut the piston at four no sorry four point five"),
        ("fr", "le piston est à quatre pardon quatre et demi"),
        ("fr", "le piston est à quatre non quatre et demi"),
    ],
)
def test_a_number_taken_back_is_retracted_and_named(lang: Lang, text: str) -> None:
    old, new = read(lang, text)
    assert (old.value, old.status, new.value, new.status) == (4, "retracted", 4.5, "affirmed")
    assert new.corrects == old.id


def test_no_before_something_else_takes_nothing_back() -> None:
    found = read("en", "no water for three weeks no flying for five weeks")
    assert [(m.value, m.status, m.corrects) for m in found] == [(3, "affirmed", None), (5, "affirmed", None)]


def test_the_same_size_said_again_is_an_echo() -> None:
    one, two = read("fr", "de l'enclume à la platine je mesure quatre et quart", "quatre vingt-cinq")
    assert (one.echo_of, two.value, two.echo_of) == (None, 4.25, one.id)


def test_a_sum_is_linked_to_its_terms() -> None:
    found = read(
        "en",
        "from the incus to the footplate i measure four and a quarter",
        "i add a quarter of a millimetre",
        "so we want a piston of four and a half",
    )
    measured, added, target = found
    assert [m.role for m in found] == ["measured", "added", "target"]
    assert target.sum_of == (measured.id, added.id)


def test_a_sum_spoken_before_its_terms_is_linked_too() -> None:
    target, measured, added = read(
        "fr",
        "on prendra un piston de quatre et demi",
        "de l'enclume à la platine je mesure quatre et quart",
        "j'ajoute un quart de millimètre",
    )
    assert target.sum_of == (measured.id, added.id)


def test_a_wrong_sum_is_not_linked() -> None:
    found = read(
        "fr",
        "de l'enclume à la platine je mesure quatre et quart",
        "j'ajoute un quart de millimètre",
        "on prendra un piston de quatre soixante-quinze",
    )
    assert found[-1].sum_of is None


@pytest.mark.parametrize(
    ("lang", "lines", "size"),
    [
        ("en", ("so we take a piston of four and three quarters",), 4.75),
        ("fr", ("donc un piston de quatre soixante-quinze",), 4.75),
    ],
)
@pytest.mark.parametrize("first", [True, False])
def test_a_wrong_sum_is_shown(lang: Lang, lines: tuple[str, ...], size: float, first: bool) -> None:
    terms = {
        "en": ("from the incus to the footplate i measure four and a quarter", "i add a quarter of a millimetre"),
        "fr": ("de l'enclume à la platine je mesure quatre et quart", "j'ajoute un quart de millimètre"),
    }[lang]
    lexicon = load()
    record = find_mentions(say(lang, *((*lines, *terms) if first else (*terms, *lines))), lexicon)
    record = read_measurements(record, lexicon)
    assert size in [m.value for m in record.measurements]
    assert [check.code for check in find_checks(record, lexicon, Wording(record, lexicon))] == ["size-sum"]


def test_a_right_sum_and_a_diameter_are_not_doubted() -> None:
    lexicon = load()
    lines = (
        "from the incus to the footplate i measure four and a quarter",
        "i add a quarter of a millimetre",
        "so we take a piston of four and a half",
        "the diameter of the piston is point six",
    )
    record = read_measurements(find_mentions(say("en", *lines), lexicon), lexicon)
    assert find_checks(record, lexicon, Wording(record, lexicon)) == []


def test_an_impossible_length_is_shown_and_is_no_implants_length() -> None:
    record = extract(say("en", "the piston is forty-five millimetres long", "the piston is in place"))
    assert [check.code for check in record.checks if check.code.startswith("size-")] == ["size-decimal-shift"]
    assert [implant.length for implant in record.case.implants] == [None]


def test_a_distance_is_measured_and_not_final() -> None:
    (one,) = read("en", "here from incus to footplate i measure four millimetres")
    assert (one.value, one.role) == (4, "measured")


def test_a_distance_names_both_its_ends() -> None:
    (one,) = read("fr", "quatre et quart entre la platine et le manche")
    assert (one.quantity, one.dimension, one.from_, one.to) == (
        "distance",
        "distance",
        "stapes-footplate",
        "malleus-handle",
    )


def test_a_habit_is_an_addend_too() -> None:
    (one,) = read("en", "i always add half a millimetre to the piston")
    assert (one.role, one.value, one.of, one.plausible) == ("added", 0.5, "stapes-piston", True)


def played(found: tuple[Measurement, ...]) -> list[tuple[Value, str | None, str | None]]:
    """Give value, what, and role of each."""
    return [(m.value, m.of, m.role) for m in found]


def test_sum_is_the_size_of_the_implant() -> None:
    found = read(
        "en",
        "a stapes piston is on the table",
        "from the incus to the footplate i read four and a quarter",
        "i add a quarter so four and a half",
    )
    assert found[0].role == "measured"
    assert played(found)[-1] == (4.5, "stapes-piston", "target")


def test_implant_without_a_cue_is_wanted() -> None:
    assert played(read("fr", "un piston de quatre millimètres et demi")) == [(4.5, "stapes-piston", "target")]


def test_list_shares_its_unit() -> None:
    found = read("fr", "l'optique trente puis quarante-cinq degrés")
    assert [(m.value, m.unit) for m in found] == [(30, "deg"), (45, "deg")]


def test_age_is_no_measurement() -> None:
    assert not read("fr", "monsieur cinquante-trois ans oreille gauche")


def test_dose_by_weight() -> None:
    assert rows(read("fr", "méthylprednisolone un milligramme par kilo")) == [(1, "mg/kg", "methylprednisolone")]


def test_lens_and_shots_are_not_sizes() -> None:
    assert not read("en", "microscope in two fifty lens", "laser two shots only")


def test_second_side_of_the_same_thing() -> None:
    found = read("fr", "fistule labyrinthique d'un millimètre et demi sur deux")
    assert rows(found) == [(1.5, "mm", "labyrinthine-fistula"), (2, "mm", "labyrinthine-fistula")]
