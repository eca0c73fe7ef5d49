"""The operative note: complete in both languages, and nothing in it that the record does not hold."""

from __future__ import annotations

import re
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path

import pytest

from otochron.lexicon import load
from otochron.model import Correction, Lang, Record, Seen
from otochron.pipeline import run
from otochron.readers import read_bytes
from otochron.writers.note import build_note, write_note
from writers.made import MADE, at, finding

LEXICON = load()
SAMPLES = Path(__file__).parents[2] / "samples"
_TIME = re.compile(r"\((?:[^()]*[ \u00a0])?\d+:\d\d(?::\d\d)?(?:, …)?\)$|: …+$")


def sentences(record: Record, lang: Lang) -> list[str]:
    return build_note(record, LEXICON, lang).sentences()


@pytest.mark.parametrize(
    ("lang", "expected"),
    [
        ("en", "Stapes: fixed (0:05)"),
        ("fr", "Étrier\u00a0: bloqué (0:05)"),
        ("en", "Footplate: uncertain: otosclerotic focus (0:06)"),
        ("fr", "Platine\u00a0: incertain\u00a0: foyer d’otospongiose (0:06)"),
        ("en", "Middle ear: no effusion (0:07)"),
        ("fr", "Caisse du tympan\u00a0: pas d’épanchement (0:07)"),
        ("fr", "Corde du tympan\u00a0: intacte (0:09)"),
        ("en", "Drug: lidocaine (1%) (0:03)"),
        ("fr", "Médicament\u00a0: lidocaïne (1\u00a0%) (0:03)"),
        ("en", "Graft: vein graft: only spoken of as possible, not done (0:20)"),
        ("fr", "Greffon\u00a0: greffe veineuse\u00a0: simple éventualité évoquée, non réalisée (0:20)"),
        ("en", "No gusher (0:22)"),
        ("fr", "Pas de geyser (0:22)"),
        ("en", "Removal of the ear wick: on day 7 (0:25)"),
        ("fr", "Ablation de la mèche\u00a0: à J7 (0:25)"),
        ("en", "Vein graft over fenestra: planned, not said to be done (0:20)"),
        ("fr", "Greffe veineuse sur la fenêtre\u00a0: geste prévu, réalisation non mentionnée (0:20)"),
        ("en", "Stapes piston (shaft of fluoroplastic), length 4.5\u00a0mm (0:17)"),
        ("fr", "Piston stapédien (tige en polytétrafluoroéthylène), longueur 4,5\u00a0mm (0:17)"),
        ("en", "Nothing says that these acts were finished: Piston insertion (0:17)"),
        ("en", "Chorda tympani: “never pull the chorda” (0:10)"),
        ("fr", "Corde du tympan\u00a0: «\u00a0never pull the chorda\u00a0» (en anglais, 0:10)"),
        ("en", "Reason given: “parce que la boucle est ouverte” (in French, 0:28)"),
        ("fr", "Motif donné\u00a0: «\u00a0parce que la boucle est ouverte\u00a0» (0:28)"),
    ],
)
def test_note_tells_each_fact(lang: Lang, expected: str) -> None:
    assert expected[0].lower() + expected[1:] in [text[0].lower() + text[1:] for text in sentences(MADE, lang)]
    assert expected in re.sub(r"\n *", " ", write_note(MADE, LEXICON, lang, "txt"))


@pytest.mark.parametrize(
    ("lang", "expected"),
    [
        (
            "en",
            "measured (0:12); length 0.25\u00a0mm, added (0:14); length 4.75\u00a0mm, provisional (0:16); length 4.5",
        ),
        (
            "fr",
            "valeur mesurée (0:12)\u00a0; longueur 0,25\u00a0mm, ajout (0:14)\u00a0; longueur 4,75",
        ),
    ],
)
def test_note_tells_how_the_size_came_about(lang: Lang, expected: str) -> None:
    assert expected in re.sub(r"\n *", " ", write_note(MADE, LEXICON, lang, "txt"))


@pytest.mark.parametrize("lang", ["en", "fr"])
def test_every_sentence_ends_with_its_time(lang: Lang) -> None:
    for sentence in sentences(MADE, lang):
        assert _TIME.search(sentence), sentence


def test_a_changed_finding_tells_its_history() -> None:
    fixed = finding("stapes", "fixed", "present", 2, "bloqué")
    freed = fixed.evolve(status="absent", history=(*fixed.history, Seen(status="absent", evidence=at(5, "we crimp"))))
    record = MADE.evolve(case=MADE.case.evolve(findings=(freed,)))
    assert "Stapes: fixed (0:05), then no longer (0:22)" in sentences(record, "en")
    assert "Étrier\u00a0: bloqué (0:05), puis ce n’est plus le cas (0:22)" in sentences(record, "fr")


@pytest.mark.parametrize(
    ("lang", "expected"),
    [
        ("en", "Finding: was “stapes, fixed, present”, now “struck out” (by Dr A)"),
        ("fr", "Constatation\u00a0: était «\u00a0étrier, bloqué, présent\u00a0», devient «\u00a0supprimé\u00a0»"),
        ("en", "Estimated blood loss (if any): 5\u00a0mL (by Dr A)"),
        (
            "fr",
            "Mots entendus\u00a0: était «\u00a0corrigé\u00a0: stapes\u00a0», devient «\u00a0tel qu’entendu",
        ),
    ],
)
def test_what_the_surgeon_corrected_is_told_with_what_was(lang: Lang, expected: str) -> None:
    told = (
        Correction(target="findings:stapes:fixed", was="stapes, fixed, present", now=None, by="Dr A"),
        Correction(target="missing:blood-loss", was=None, now="5 mL", by="Dr A"),
        Correction(target="repair-line-1-4", was="applied: stapes", now="kept: stay", by="Dr A"),
    )
    note = write_note(MADE.evolve(corrections=told), LEXICON, lang, "txt")
    assert expected in re.sub(r"\n *", " ", note)


def test_without_a_fact_the_note_of_a_sample_gains_nothing() -> None:
    path = next(iter((SAMPLES / "ossiculoplasty-partial-right").glob("transcript.*")))
    record = run(read_bytes(path.read_bytes(), path.name), LEXICON)
    before = Counter(sentences(record, "fr"))
    tried = 0
    for name in type(record.case).model_fields:
        value = getattr(record.case, name)
        for n in range(len(value) if isinstance(value, tuple) else 0):
            case = record.case.evolve(**{name: (*value[:n], *value[n + 1 :])})
            after = Counter(sentences(record.evolve(case=case), "fr"))
            told = value[n].echo_of is None and value[n].status not in ("retracted", "general")
            tried += told and name != "requests"
            assert not after - before
            assert len(list((before - after).elements())) >= (told and name != "requests")
    assert tried > 20


def facts() -> list[tuple[str, Record]]:
    """The record without one fact, for each fact."""
    case = MADE.case
    found = []
    for name in type(case).model_fields:
        value = getattr(case, name)
        if isinstance(value, tuple):
            for n in range(len(value)):
                rest = (*value[:n], *value[n + 1 :])
                found.append((f"{name}-{n}", MADE.evolve(case=case.evolve(**{name: rest}))))
    found += [
        (f"steps-{n}", MADE.evolve(steps=(*MADE.steps[:n], *MADE.steps[n + 1 :]))) for n in range(len(MADE.steps))
    ]
    found.append(("missing", MADE.evolve(missing=())))
    found.append(("checks", MADE.evolve(checks=())))
    found.append(("removed", MADE.evolve(case=case.evolve(tissue=case.tissue.evolve(removed=())))))
    return found


@pytest.mark.parametrize(("name", "record"), facts(), ids=[name for name, _ in facts()])
@pytest.mark.parametrize("lang", ["en", "fr"])
def test_without_a_fact_the_note_loses_exactly_it(name: str, record: Record, lang: Lang) -> None:
    before, after = Counter(sentences(MADE, lang)), Counter(sentences(record, lang))
    assert not after - before, "a fact that is gone brought something new"
    lost = list((before - after).elements())
    # An implant is told with how its size came about; a step that nothing says was finished is also to be checked.
    assert len(lost) == {"implants-0": 2, "steps-1": 2}.get(name, 1), lost


@pytest.mark.parametrize("lang", ["en", "fr"])
@pytest.mark.parametrize("form", ["md", "html", "txt"])
def test_the_banner_stays_until_stops_are_settled_and_the_review_is_done(lang: Lang, form: str) -> None:
    banner = {"en": "to be checked and signed by the surgeon", "fr": "à vérifier et à signer par le chirurgien"}[lang]
    checked = MADE.evolve(review="checked")
    settled = MADE.evolve(checks=())
    for record in (MADE, checked, settled):
        assert banner in " ".join(write_note(record, LEXICON, lang, form).split())
    assert banner not in " ".join(write_note(checked.evolve(checks=()), LEXICON, lang, form).split())


def test_what_is_planned_stands_apart_from_what_was_done() -> None:
    sections = {section.key: section for section in build_note(MADE, LEXICON, "en").sections}
    done = " ".join(text for line in sections["course"].lines for text in line.sentences())
    assert "fenestra" not in done.replace("placed in the fenestra", "")
    assert "vein" not in done


def test_an_empty_record_still_says_so() -> None:
    note = write_note(Record(), LEXICON, "fr", "txt")
    assert "Rien n’a été dit." in note
    assert "Ce qui n’est pas cité n’a pas été mentionné" in note


def test_text_keeps_to_eighty_columns() -> None:
    for lang in ("en", "fr"):
        assert max(map(len, write_note(MADE, LEXICON, lang, "txt").splitlines())) <= 80  # type: ignore[arg-type]


HOSTILE = '<script>alert(1)</script> & "x" `*_[a](b) --> ]]>'


def test_spoken_signs_stay_text() -> None:
    saying = MADE.case.cautions[0].evolve(text=HOSTILE)
    record = MADE.evolve(case=MADE.case.evolve(cautions=(saying,)), recording=MADE.recording.evolve(name=HOSTILE))

    class Tags(HTMLParser):
        seen: list[str] = []  # noqa: RUF012

        def handle_starttag(self, tag: str, _attrs: list[tuple[str, str | None]]) -> None:
            self.seen.append(tag)

    tags = Tags()
    tags.feed(write_note(record, LEXICON, "en", "html"))
    assert "script" not in tags.seen
    assert "\\<script\\>" in write_note(record, LEXICON, "en", "md")
    assert HOSTILE in " ".join(write_note(record, LEXICON, "en", "txt").split())


def test_the_page_of_a_note_asks_for_nothing_outside() -> None:
    page = write_note(MADE, LEXICON, "fr", "html")
    assert not any(sign in page for sign in ("http:", "https:", "src=", "<script"))
    assert '<q lang="en">never pull the chorda</q>' in page


def test_french_print_has_no_plain_apostrophe_and_no_breaking_space_before_high_marks() -> None:
    note = build_note(MADE, LEXICON, "fr")
    for line in (line for section in note.sections for line in section.lines):
        text = line.lead + "".join(run.text for run in line.runs() if not run.quote)
        assert "'" not in text, text
        assert not re.search(r" [:;!?»]", text), text
        assert not re.search(r"\d\.\d", text), text
