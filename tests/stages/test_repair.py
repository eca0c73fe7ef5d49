"""Repair: what it mends, what it leaves alone, and that the heard words come back."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

from otochron.lexicon import load
from otochron.lexicon.weights import load_weights
from otochron.model import Line, Record, dump_record
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.stages.repair import find_repairs
from otochron.stages.repair.context import Context
from otochron.stages.repair.judge import is_ear_recording
from otochron.stages.repair.windows import protected
from otochron.stages.repair.write import heard_again
from otochron.text.number_words import is_number
from otochron.text.stream import heard_words, words

BEFORE = (
    "the middle ear is open and the incus is intact",
    "je décolle le lambeau tympano-méatal jusqu'à l'annulus",
    "the chorda tympani is preserved and the stapes is mobile",
    "la platine est bloquée et le marteau est mobile",
)
MISHEARD = (
    (("the stape edius tendon is cut with the scissors",), "stapedius tendon"),
    (("on voit bien la membrane timpanique en avant",), "membrane tympanique"),
    (("i need the dexame thasone now please",), "dexamethasone"),
    (("on récline le lambeau tim pano méatal en avant",), "tympano-méatal"),
    (("we open the round win", "dow with the small burr"), "round window"),
)


def read(*lines: str) -> Record:
    """Read lines as one recording, up to clauses."""
    record = Record(
        lines=tuple(
            Line(id=f"line-{n + 1}", start_ms=4000 * n, end_ms=4000 * n + 3900, heard=text, text=text)
            for n, text in enumerate(lines)
        )
    )
    lexicon = load()
    return find_clauses(find_languages(record, lexicon), lexicon)


def repaired(*lines: str) -> Record:
    """Read lines as one recording, up to repair."""
    return find_repairs(read(*lines), load())


@pytest.mark.parametrize(("said", "meant"), MISHEARD, ids=lambda v: v if isinstance(v, str) else "")
def test_misheard_terms_are_found(said: tuple[str, ...], meant: str) -> None:
    record = repaired(*BEFORE, *said)
    found = [r.text for r in record.repairs if r.decision in {"applied", "suggested"}]
    assert any(meant in text for text in found), found


@pytest.mark.parametrize(("said", "meant"), MISHEARD, ids=lambda v: v if isinstance(v, str) else "")
def test_heard_comes_back_from_text_and_repairs(said: tuple[str, ...], meant: str) -> None:
    record = repaired(*BEFORE, *said, *BEFORE)
    assert [heard_again(line, record.repairs) for line in record.lines] == [line.heard for line in record.lines]
    for repair in record.repairs:
        line = next(line for line in record.lines if line.id == repair.line)
        assert line.heard[repair.heard_start : repair.heard_end] == repair.heard
        shown = repair.text if repair.decision == "applied" else repair.heard
        assert line.text[repair.text_start : repair.text_end] == shown


def test_a_repair_over_a_line_end_is_two() -> None:
    record = repaired(*BEFORE, "we open the round win", "dow with the small burr")
    over = [r for r in record.repairs if r.continues]
    for repair in over:
        assert repair.text == ""
        assert repair.continues in {r.id for r in record.repairs}


def test_ids_are_line_and_place() -> None:
    record = repaired(*BEFORE, *MISHEARD[2][0])
    assert record.repairs
    assert all(r.id == f"repair-{r.line}-{r.heard_start}" for r in record.repairs)
    assert len({r.id for r in record.repairs}) == len(record.repairs)


def test_reasons_add_up_to_the_score() -> None:
    record = repaired(*BEFORE, *(line for said, _ in MISHEARD for line in said))
    assert record.repairs
    for repair in record.repairs:
        z = sum(reason.value for reason in repair.reasons)
        assert repair.score == pytest.approx(1 / (1 + math.exp(-z)), abs=0.003)


def test_nothing_is_applied_outside_ear_recordings() -> None:
    record = repaired(
        "the patient was placed supine and the abdomen was prepped",
        "the gall bladder was dissected from the liver bed and the cystic duct was clipped",
        "the round win dow dressing was applied and the staples were removed",
    )
    assert not [r for r in record.repairs if r.decision == "applied"]
    assert all(line.text == line.heard for line in record.lines)


def test_right_words_stay() -> None:
    record = repaired(*BEFORE)
    assert not [r for r in record.repairs if r.decision == "applied"]


def test_numbers_sides_and_denials_are_never_in_a_repair() -> None:
    record = repaired(
        *BEFORE,
        "no dehis hence of the left facial nerve",
        "pas de déhis cence du côté gauche sur quatre millimètres",
        "the right stape is four point five millimetres",
    )
    stream = heard_words(record)
    denials = protected(load(), "untouchable")
    for word in stream:
        if is_number(word) or word.key in denials or word.key in {"left", "right", "gauche", "droite"}:
            for repair in record.repairs:
                inside = repair.line == word.line and repair.heard_start < word.end and word.start < repair.heard_end
                assert not inside, (word.text, repair.heard)


def test_same_record_twice() -> None:
    said = [line for lines, _ in MISHEARD for line in lines]
    assert dump_record(repaired(*BEFORE, *said)) == dump_record(repaired(*BEFORE, *said))


def test_changed_lines_lose_their_stale_languages() -> None:
    record = repaired(*BEFORE, "i need the dexame thasone now please")
    for line in record.lines:
        if line.text != line.heard:
            assert line.languages == ()
    assert words(record)


def test_garbled_stretch_is_unclear() -> None:
    record = repaired(*BEFORE, "srilais achotes tuandrid milisekones vorlapt grendish")
    assert record.unclear


def test_what_was_surely_meant_opens_the_gate() -> None:
    lexicon, weights = load(), load_weights("repair")
    stream = heard_words(read(*["le patient a été vu en consultation et il va bien depuis la dernière visite"] * 8))
    context = Context(stream, lexicon.finder.find(stream), lexicon)
    concepts = ("stapes", "incus", "malleus", "umbo", "promontory")

    def verdicts(*names: str, decision: str = "applied") -> Any:
        targets = [SimpleNamespace(concepts=(name,)) for name in names]
        nears = [SimpleNamespace(near=SimpleNamespace(target=target)) for target in targets]
        return [SimpleNamespace(candidate=near, decision=decision) for near in nears]

    assert not is_ear_recording(context, weights)
    assert is_ear_recording(context, weights, verdicts(*concepts))
    assert not is_ear_recording(context, weights, verdicts(*concepts[:4]))
    assert not is_ear_recording(context, weights, verdicts(*["stapes"] * 9))
    assert not is_ear_recording(context, weights, verdicts(*concepts, decision="suggested"))
