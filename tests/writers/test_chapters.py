"""Chapter marks: in order, long enough, with the approach, pitfalls, and what the recording lacks."""

from __future__ import annotations

import json
from io import StringIO
from itertools import pairwise

import pytest
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from otochron.lexicon import load
from otochron.model import Check, Item, Record, Recording, Saying, Step
from otochron.writers.chapters import SHORTEST_MS, chapters, write_chapters
from otochron.writers.note.teller import Teller
from writers.made import MADE

LEXICON = load()
STEPS = (
    "incise-canal-skin",
    "raise-tympanomeatal-flap",
    "lift-annulus",
    "identify-chorda",
    "palpate-stapes",
    "insert-piston",
)


def step(n: int, name: str, start_ms: int, end_ms: int, status: str = "done") -> Step:
    values = {
        "id": f"step-{n}",
        "step": name,
        "phase": "access-phase",
        "procedure": "stapedotomy",
        "start_ms": start_ms,
        "end_ms": end_ms,
        "status": status,
        "completion": "said",
    }
    return Step.model_validate(values)


def caution(ms: int, text: str = "jamais la corde") -> Saying:
    return Saying(concept="chorda-tympani", text=text, start_ms=ms, language="fr")


def told(steps: list[Step], cautions: list[Saying] | None = None, duration_ms: int = 0) -> Record:
    case = MADE.case.evolve(cautions=tuple(cautions or ()), reasons=())
    return Record(recording=Recording(name="case", duration_ms=duration_ms), steps=tuple(steps), case=case)


def titles(record: Record, lang: str = "en") -> list[tuple[int, int, str]]:
    return [(c.start_ms, c.end_ms, c.title) for c in chapters(Teller(record, LEXICON, lang))]  # type: ignore[arg-type]


LONG = [
    step(0, "incise-canal-skin", 20_000, 60_000),
    step(1, "lift-annulus", 60_000, 65_000),
    step(2, "insert-piston", 65_000, 99_000),
]


@pytest.mark.parametrize(
    ("lang", "expected"),
    [
        ("en", ["Presentation (right ear, transcanal approach)", "Canal skin incision", "Piston insertion"]),
        ("fr", ["Présentation (oreille droite, voie transméatale)", "Incision du conduit", "Mise en place du piston"]),
    ],
)
def test_titles_are_in_the_language_asked_for_and_the_first_names_the_approach(lang: str, expected: list[str]) -> None:
    assert [title for _, _, title in titles(told(LONG), lang)] == expected


def test_a_short_step_joins_the_one_before_unless_a_caution_falls_in_it() -> None:
    assert [start for start, _, _ in titles(told(LONG))] == [0, 20_000, 65_000]
    assert [start for start, _, _ in titles(told(LONG, [caution(61_000)]))] == [0, 20_000, 60_000, 65_000]


def test_planned_and_abandoned_steps_make_no_chapter() -> None:
    steps = [
        *LONG,
        step(3, "cover-fenestra", 70_000, 80_000, "planned"),
        step(4, "cover-fenestra", 80_000, 90_000, "abandoned"),
    ]
    assert titles(told(steps)) == titles(told(LONG))


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(STEPS), st.integers(0, 30_000), st.integers(0, 40_000)), max_size=12),
    st.lists(st.integers(0, 300_000), max_size=4),
)
def test_chapters_follow_each_other_and_are_long_enough(parts: list[tuple[str, int, int]], warned: list[int]) -> None:
    steps, clock = [], 0
    for n, (name, gap, lasting) in enumerate(parts):
        steps.append(step(n, name, clock + gap, clock + gap + lasting))
        clock += gap + lasting
    found = chapters(Teller(told(steps, [caution(ms) for ms in warned], clock), LEXICON, "fr"))
    assert bool(found) == bool(steps)
    if found:
        assert found[0].start_ms == 0
    for one, two in pairwise(found):
        assert one.end_ms == two.start_ms
        long_enough = one.end_ms - one.start_ms >= SHORTEST_MS
        assert long_enough or any(one.start_ms <= ms < one.end_ms for ms in warned)
    assert {s.id for chapter in found for s in chapter.steps} == {s.id for s in steps}


def test_pitfalls_and_key_points_are_marked() -> None:
    text = write_chapters(MADE, LEXICON, "fr", "text")
    assert "[piège]" in text
    assert "0:10 piège\u00a0: «\u00a0never pull the chorda\u00a0»" in text
    assert "point clé\u00a0: «\u00a0parce que la boucle est ouverte\u00a0»" in text


def test_what_the_recording_lacks_is_listed() -> None:
    record = told(LONG).evolve(case=MADE.case.evolve(approaches=(), cautions=()))
    data = json.loads(write_chapters(record, LEXICON, "en", "json"))
    assert data["lacking"] == ["The type of approach.", "Audiometry of both ears.", "Tips and pitfalls."]
    spoken = Check.model_validate({"code": "personal-data", "level": "stop", "message": {"en": "x", "fr": "x"}})
    assert "Anonymity" in write_chapters(record.evolve(checks=(spoken,)), LEXICON, "en", "webvtt")


def test_the_track_is_valid_and_its_titles_are_text() -> None:
    way = Item(concept="<b>&way")
    record = told(LONG, [caution(61_000)])
    record = record.evolve(case=record.case.evolve(approaches=(way,)))
    text = write_chapters(record, LEXICON, "en")
    found = webvtt.from_buffer(StringIO(text))
    assert len(found) == 4
    assert "&lt;b&gt;&amp;way" in text


def test_data_holds_times_steps_and_quotations() -> None:
    data = json.loads(write_chapters(told(LONG, [caution(61_000)]), LEXICON, "fr", "json"))
    assert data["chapters"][2]["steps"] == ["step-1"]
    assert data["chapters"][2]["pitfalls"][0]["text"] == "jamais la corde"
    assert data["approaches"] == ["transcanal-approach"]


def test_no_step_gives_no_chapter() -> None:
    assert write_chapters(Record(), LEXICON, "en", "json").count('"title"') == 0
    assert write_chapters(Record(), LEXICON, "en").startswith("WEBVTT\n\nNOTE\n")
