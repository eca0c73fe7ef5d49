from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from build import say
from otochron.lexicon import load
from otochron.model import Record
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.text.stream import Places, surface, words


def clauses(*lines: str) -> list[tuple[str, str]]:
    record = find_clauses(find_languages(say(None, *lines), load()), load())
    return [(surface(record, c.span), c.register_) for c in record.clauses]


def test_clauses_hold_every_word_once() -> None:
    lines = (
        "so now i raise the flap donc on décolle doucement",
        "jusqu'à l'annulus suction please voilà",
        "c'est bon",
    )
    record = find_clauses(find_languages(say(None, *lines), load()), load())
    assert sum(len(surface(record, c.span).split()) for c in record.clauses) == sum(len(x.split()) for x in lines)
    assert [c.id for c in record.clauses] == [f"clause-{c.span.line}-{c.span.start}" for c in record.clauses]
    assert record.clauses[0].span.start_ms == words(record)[0].start_ms


def test_sentence_marks_end_clauses() -> None:
    found = clauses("The drum is intact. The incus is eroded. The stapes is mobile.")
    assert [text for text, _ in found] == [
        "The drum is intact",
        "The incus is eroded",
        "The stapes is mobile",
    ]


@pytest.mark.parametrize(
    ("text", "register"),
    [
        ("suction please", "request"),
        ("donnez-moi le crochet s'il vous plaît", "request"),
        ("give me the sickle knife", "request"),
        ("the small hook please", "request"),
        ("aspiration", "request"),
        ("il me faut plus petit un et demi", "request"),
        ("can we lower the table a bit", "request"),
        ("tu peux baisser la lumière", "request"),
        ("crimper please la pince à sertir", "request"),
        ("now i cut the tendon of the stapes", "narration"),
        ("i take the crimper and close the loop", "narration"),
        ("avec le crochet je soulève le lambeau", "narration"),
        # A drug that is named is given.
        ("lidocaïne à un pour cent avec adrénaline", "narration"),
        ("you ask for the crimper when the loop is on", "teaching"),
        ("jamais d'aspirateur sur la platine", "teaching"),
    ],
)
def test_register(text: str, register: str) -> None:
    assert {r for _, r in clauses(text)} == {register}


def test_a_request_ends_the_clause_before_it_and_itself() -> None:
    assert clauses("can i have the small hook now i lift the flap") == [
        ("can i have the small hook", "request"),
        ("now i lift the flap", "narration"),
    ]


@pytest.mark.xfail(reason="a verb of the third person that no word list holds reads like a name")
def test_a_tool_that_does_something_is_not_asked_for() -> None:
    assert {r for _, r in clauses("the crimper closes the loop well")} == {"narration"}


def test_empty_record_stays_empty() -> None:
    assert find_clauses(Record(), load()) == Record()


SPOKEN = (
    "so now i raise the flap donc on décolle doucement jusqu'à l'annulus suction please "
    "voilà on voit la corde the chorda is free il ne faut jamais tirer dessus because she loses her taste "
    "donnez-moi le crochet now i look at the footplate elle est mobile"
).split()


@pytest.mark.parametrize("per_line", [1, 3, 7, 200])
def test_clauses_do_not_hang_on_where_lines_are_cut(per_line: int) -> None:
    lines = [" ".join(SPOKEN[n : n + per_line]) for n in range(0, len(SPOKEN), per_line)]
    found = clauses(*lines)
    whole = clauses(" ".join(SPOKEN))
    same = {text for text, _ in found} & {text for text, _ in whole}
    assert len(same) >= 0.7 * len(whole)


def test_clauses_without_any_times() -> None:
    record = say(None, " ".join(SPOKEN[:20]), " ".join(SPOKEN[20:]))
    record = record.evolve(lines=tuple(line.evolve(start_ms=0, end_ms=0) for line in record.lines))
    found = find_clauses(find_languages(record, load()), load()).clauses
    assert len(found) >= 5
    assert {clause.span.start_ms for clause in found} == {0}


@given(st.lists(st.sampled_from([*SPOKEN, "4.5", "%", "l'", "étrier", "—"]), max_size=30).map(" ".join))
def test_any_words_are_held_once_in_order(text: str) -> None:
    record = find_clauses(find_languages(say(None, text), load()), load())
    places = Places(words(record), record.lines)
    edges = [(places.first(c.span), places.last(c.span)) for c in record.clauses]
    assert [n for a, b in edges for n in range(a, b)] == list(range(len(words(record))))
