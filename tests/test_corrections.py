"""The surgeon's word: it outranks extraction, what was stays, and a place that does not fit is never used."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import say
from otochron.corrections import apply_checks, apply_facts, apply_repairs, draft_corrections, read_corrections
from otochron.errors import CorrectionsError
from otochron.lexicon import load
from otochron.model import Record, Repair, Span, Unclear
from otochron.pipeline import run
from otochron.readers import read_bytes
from writers.made import MADE, at

LEXICON = load()
SAMPLES = Path(__file__).parents[1] / "samples"
HEARD = "the stay pees is fixed and the stay pees moves"


def repaired() -> Record:
    """One line with a repair that was applied, one that was suggested, and an unclear stretch at its end."""
    said = say("en", HEARD, "pass me the sickle")
    text = "the stapes is fixed and the stay pees moves"
    line = said.lines[0].evolve(text=text, languages=(said.lines[0].languages[0].evolve(end=len(text)),))
    common = {"line": "line-1", "heard": "stay pees", "concept": "stapes", "language": "en"}
    repairs = (
        Repair.model_validate(
            {
                **common,
                "id": "repair-line-1-4",
                "heard_start": 4,
                "heard_end": 13,
                "text_start": 4,
                "text_end": 10,
                "text": "stapes",
                "score": 0.9,
                "decision": "applied",
            }
        ),
        Repair.model_validate(
            {
                **common,
                "id": "repair-line-1-31",
                "heard_start": 31,
                "heard_end": 40,
                "text_start": 28,
                "text_end": 37,
                "text": "stapes",
                "score": 0.6,
                "decision": "suggested",
            }
        ),
    )
    unclear = Unclear(span=Span(line="line-1", start=38, to_line="line-1", end=43, start_ms=0, end_ms=9), reason="test")
    return said.evolve(lines=(line, said.lines[1]), repairs=repairs, unclear=(unclear,))


def word(*tables: str, head: str = 'by = "surgeon"'):  # type: ignore[no-untyped-def]
    return read_corrections("\n".join([head, *tables]), "word.toml")


def repair(do: str, heard: str = "stay pees", occurrence: int = 1, more: str = "") -> str:
    return f'[[repair]]\nline = "line-1"\nheard = "{heard}"\noccurrence = {occurrence}\ndo = "{do}"\n{more}'


@pytest.mark.parametrize(
    ("order", "text"),
    [
        (repair("accept", occurrence=2), "the stapes is fixed and the stapes moves"),
        (repair("refuse"), "the stay pees is fixed and the stay pees moves"),
        (repair("replace", more='text = "incus"\nconcept = "incus"'), "the incus is fixed and the stay pees moves"),
        (repair("add", heard="moves", more='text = "is mobile"'), "the stapes is fixed and the stay pees is mobile"),
        (repair("refuse", occurrence=2), "the stapes is fixed and the stay pees moves"),
    ],
)
def test_repairs_follow_the_surgeon(order: str, text: str) -> None:
    after = apply_repairs(repaired(), word(order), LEXICON)
    assert after.lines[0].text == text
    assert not after.checks
    assert len(after.corrections) == 1
    assert after.corrections[0].by == "surgeon"
    for one in after.repairs:
        held = one.text if one.decision == "applied" else one.heard
        assert after.lines[0].text[one.text_start : one.text_end] == held
        assert after.lines[0].heard[one.heard_start : one.heard_end] == one.heard
    if "moves" in text:
        assert text[after.unclear[0].span.start : after.unclear[0].span.end] == "moves"
    assert after.lines[0].languages[0].end == len(text)


def test_what_was_stays_visible() -> None:
    after = apply_repairs(repaired(), word(repair("replace", more='text = "incus"')), LEXICON)
    assert after.corrections[0].model_dump() == {
        "target": "repair-line-1-4",
        "was": "applied: stapes",
        "now": "applied: incus",
        "by": "surgeon",
    }
    assert after.repairs[0].heard == "stay pees"
    assert after.repairs[0].reasons[-1].name == "surgeon"


@pytest.mark.parametrize(
    "order",
    [
        repair("accept", occurrence=3),
        repair("accept", heard="stay peas"),
        repair("accept", heard="fixed"),
        repair("add", more='text = "malleus"'),
        '[[repair]]\nline = "line-77"\nheard = "stay pees"\ndo = "accept"',
    ],
)
def test_a_place_that_does_not_fit_gives_a_stop_and_changes_nothing(order: str) -> None:
    before = repaired()
    after = apply_repairs(before, word(order), LEXICON)
    assert after.lines == before.lines
    assert after.repairs == before.repairs
    assert [(check.code, check.level) for check in after.checks] == [("correction-anchor", "stop")]
    assert "word" not in after.checks[0].message.en


def test_a_file_for_another_recording_gives_one_stop() -> None:
    other = word(repair("accept"), head='recording = "feed"')
    record = MADE
    for apply in (apply_repairs, apply_facts, apply_checks):
        record = apply(record, other, LEXICON)
    assert [check.code for check in record.checks if check.code == "correction-anchor"] == ["correction-anchor"]
    assert record.case == MADE.case
    assert record.review == "draft"


def fact(field: str, do: str, more: str = "", place: tuple[str, str] | None = None) -> str:
    where = f'line = "{place[0]}"\nheard = "{place[1]}"\n' if place else ""
    return f'[[fact]]\nfield = "{field}"\n{where}do = "{do}"\n{more}'


def test_a_finding_is_refused() -> None:
    after = apply_facts(MADE, word(fact("findings", "refuse", 'finding = "fixed"', ("line-2", "bloqué"))), LEXICON)
    assert [f.finding for f in after.case.findings] == ["otosclerotic-focus", "effusion", "intact"]
    assert after.corrections[0].target == "findings:stapes:fixed"
    assert after.corrections[0].now is None


def test_an_uncertain_finding_is_accepted() -> None:
    order = fact("findings", "accept", 'finding = "foyer otospongieux"')
    assert apply_facts(MADE, word(order), LEXICON).case.findings[1].status == "present"


def test_a_fact_is_replaced() -> None:
    order = fact("implants", "replace", 'concept = "stapes-piston"\nnow = { materials = { shaft = "titanium" } }')
    after = apply_facts(MADE, word(order), LEXICON)
    assert after.case.implants[0].materials == {"shaft": "titanium"}
    assert after.case.implants[0].length == MADE.case.implants[0].length


def test_a_fact_is_added_by_the_name_that_a_surgeon_uses() -> None:
    order = fact("grafts", "add", 'now = { concept = "fascia lata" }', ("line-5", "vein graft"))
    added = apply_facts(MADE, word(order), LEXICON).case.grafts[-1]
    assert (added.concept, added.status, added.evidence[0].line) == ("fascia-lata", "affirmed", "line-5")


def test_a_size_is_replaced_and_another_struck() -> None:
    orders = [
        fact("measurements", "replace", "now = { value = 4.25 }", ("line-5", "four and a half")),
        fact("measurements", "refuse", "", ("line-4", "un quart")),
    ]
    after = apply_facts(MADE, word(*orders), LEXICON)
    assert after.measurements[3].value == 4.25
    assert after.measurements[1].status == "retracted"
    assert len(after.measurements) == 4


def test_the_side_is_replaced() -> None:
    after = apply_facts(MADE, word(fact("side", "replace", 'now = { value = "left" }')), LEXICON)
    assert (after.case.side.value, after.corrections[0].was, after.corrections[0].now) == ("left", "right", "left")


@pytest.mark.parametrize(
    "order",
    [
        fact("findings", "refuse", "", ("line-3", "careful")),
        fact("findings", "accept", 'structure = "stapes"\nfinding = "mobile"'),
        '[[step]]\nstep = "crimp-piston"\ndo = "refuse"',
        '[[check]]\ncode = "side-contradiction"\ndo = "accept"',
    ],
)
def test_a_fact_that_is_not_found_or_not_one_gives_a_stop(order: str) -> None:
    after = apply_checks(apply_facts(MADE, word(order), LEXICON), word(order), LEXICON)
    assert after.checks[-1].code == "correction-anchor"
    assert (after.case, after.steps) == (MADE.case, MADE.steps)


def step(do: str, name: str, place: tuple[str, str] | None, now: str = "") -> str:
    where = f'line = "{place[0]}"\nheard = "{place[1]}"\n' if place else ""
    return f'[[step]]\nstep = "{name}"\n{where}do = "{do}"\n{now}'


def test_steps_follow_the_surgeon() -> None:
    orders = [
        step("accept", "insert-piston", ("line-5", "piston")),
        step("refuse", "crimp-piston", ("line-6", "on crimpe")),
        step("replace", "cover-fenestra", ("line-5", "vein graft"), 'now = { status = "abandoned" }'),
        '[[step]]\ndo = "add"\nnow = { step = "sta.isj", start = "0:13", end = "0:15" }',
    ]
    after = apply_facts(MADE, word(*orders), LEXICON)
    assert [(s.step, s.status, s.completion) for s in after.steps] == [
        ("measure-incus-to-footplate", "done", "said"),
        ("divide-incudostapedial-joint", "done", "said"),
        ("insert-piston", "done", "said"),
        ("cover-fenestra", "abandoned", "unsaid"),
        ("crimp-piston", "done", "said"),
    ]
    done = [s for s in after.steps if s.status == "done"]
    assert all(one.end_ms <= two.start_ms for one, two in pairwise(done))
    assert len(after.corrections) == 4


def test_what_was_missing_is_filled_in_and_a_check_is_settled() -> None:
    orders = word(
        '[[missing]]\nitem = "blood-loss"\ndo = "add"\ntext = "5 mL"',
        '[[check]]\ncode = "size-ambiguous"\nline = "line-4"\nheard = "quatre cinq"\ndo = "accept"\nreason = "4.75"',
        head='by = "surgeon"\nreview = "checked"',
    )
    after = apply_checks(MADE, orders, LEXICON)
    assert (after.missing, after.checks, after.review) == ((), (), "checked")
    assert [(c.target, c.now) for c in after.corrections] == [
        ("missing:blood-loss", "5 mL"),
        ("check:size-ambiguous", "4.75"),
    ]


def test_a_drafted_file_changes_nothing() -> None:
    for record in (MADE, repaired()):
        orders = read_corrections(draft_corrections(record), "draft.toml")
        assert orders.orders == ()
        assert (
            apply_checks(apply_facts(apply_repairs(record, orders, LEXICON), orders, LEXICON), orders, LEXICON)
            == record
        )


def test_a_draft_asks_every_open_question() -> None:
    text = draft_corrections(MADE)
    for asked in (
        'finding = "otosclerotic-focus"',
        'step = "insert-piston"',
        'code = "size-ambiguous"',
        'item = "blood-loss"',
    ):
        assert asked in text
    assert f'recording = "{MADE.recording.sha256}"' in text
    assert text.count('do = "?"') == len(re.findall(r"^\[\[", text, re.MULTILINE)) + 1


@pytest.mark.parametrize("record", [MADE, repaired()], ids=["made", "repaired"])
def test_every_place_of_a_draft_is_found_again(record: Record) -> None:
    text = (
        draft_corrections(record)
        .replace('do = "?"\ntext = ""', 'do = "refuse"')
        .replace('\ndo = "?"', '\ndo = "accept"')
    )
    orders = read_corrections(text, "draft.toml")
    after = apply_checks(apply_facts(apply_repairs(record, orders, LEXICON), orders, LEXICON), orders, LEXICON)
    assert orders.orders
    assert [check for check in after.checks if check.code == "correction-anchor"] == []


@pytest.mark.parametrize(
    ("text", "where", "found"),
    [
        ("by = \n", "word.toml, line 1", "not TOML"),
        ('[[repair]]\nline = "line-1"\nheard = "a"\ndo = "acept"', "word.toml, [[repair]] 1", "acept"),
        ('[[repair]]\nlien = "line-1"', "word.toml, [[repair]] 1", "lien"),
        ('[[repair]]\nline = "line-1"\nheard = "a"\ndo = "replace"', "word.toml, [[repair]] 1", "text is not given"),
        ('[repair]\nline = "line-1"', "word.toml", "[repair]"),
        ('review = "done"', "word.toml", "review"),
        ('[[fact]]\nfield = "findings"\nline = "line-1"\ndo = "accept"', "word.toml, [[fact]] 1", "not complete"),
        ('[[missing]]\nitem = "signature"\ndo = "accept"', "word.toml, [[missing]] 1", "accept"),
        (
            '[[repair]]\nline = "line-1"\nheard = "a"\noccurrence = 0\ndo = "accept"',
            "word.toml, [[repair]] 1",
            "occurrence",
        ),
    ],
)
def test_mistakes_are_told_with_their_place(text: str, where: str, found: str) -> None:
    with pytest.raises(CorrectionsError) as error:
        read_corrections(text, "word.toml")
    assert error.value.where == where
    assert found in error.value.found


@pytest.mark.parametrize(
    ("order", "found"),
    [
        (fact("findings", "add", 'now = { structure = "stapess" }'), "stapess"),
        (fact("finding", "accept"), "finding"),
        (fact("grafts", "add", 'now = { concept = "vein-graft", colour = "red" }'), "colour"),
        (fact("grafts", "add", 'now = { concept = "vein-graft", status = "sure" }'), "status"),
        ('[[step]]\ndo = "add"\nnow = { step = "sta.isj", start = "x", end = "0:15" }', "time"),
        ('[[step]]\ndo = "add"\nnow = { step = "sta.isj", start = "0:15", end = "0:13" }', "before"),
        ('[[step]]\ndo = "add"\nnow = { step = "sta.isj", start = "0:05", end = "0:29" }', "covers"),
    ],
)
def test_values_that_make_no_sense_are_mistakes(order: str, found: str) -> None:
    with pytest.raises(CorrectionsError) as error:
        apply_facts(MADE, word(order), LEXICON)
    assert found in error.value.found


WORDS = ("stay", "pees", "the", "in", "cus", "plate", "é")


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=10), st.data())
def test_text_and_heard_stay_in_step_whatever_is_added(spoken: list[str], data: st.DataObject) -> None:
    record = say("en", " ".join(spoken))
    tables = []
    for _ in range(data.draw(st.integers(1, 4))):
        first = data.draw(st.integers(0, len(spoken) - 1))
        heard = " ".join(spoken[first : first + data.draw(st.integers(1, 2))])
        new = data.draw(st.sampled_from(["stapes", "footplate of the stapes", "s"]))
        tables.append(f'[[repair]]\nline = "line-1"\nheard = "{heard}"\ndo = "add"\ntext = "{new}"')
    after = apply_repairs(record, word(*tables), LEXICON)
    line = after.lines[0]
    rebuilt, place = "", 0
    for one in after.repairs:
        assert line.text[one.text_start : one.text_end] == one.text
        rebuilt += line.heard[place : one.heard_start] + one.text
        place = one.heard_end
    assert line.text == rebuilt + line.heard[place:]
    assert len(after.corrections) + len(after.checks) == len(tables)


def test_places_are_those_of_the_words() -> None:
    orders = word(fact("grafts", "add", 'now = { concept = "fascia-lata" }', ("line-5", "vein graft")))
    assert apply_facts(MADE, orders, LEXICON).case.grafts[-1].evidence[0].model_dump(
        exclude={"start_ms", "end_ms"}
    ) == at(5, "vein graft")[0].model_dump(exclude={"start_ms", "end_ms"})


def test_a_drafted_file_of_a_sample_changes_nothing_and_its_places_are_found() -> None:
    path = next(iter((SAMPLES / "ossiculoplasty-partial-right").glob("transcript.*")))
    raw = read_bytes(path.read_bytes(), path.name)
    record = run(raw, LEXICON)
    text = draft_corrections(record)
    assert run(raw, LEXICON, read_corrections(text, "draft.toml")) == record
    answered = text.replace('do = "?"\ntext = ""', 'do = "refuse"').replace('\ndo = "?"', '\ndo = "accept"')
    after = run(raw, LEXICON, read_corrections(answered, "answered.toml"))
    assert after.corrections
    assert not after.missing
    assert [check for check in after.checks if check.code == "correction-anchor"] == []
