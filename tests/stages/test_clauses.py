from __future__ import annotations

import pytest

from build import say
from otochron.lexicon import load
from otochron.model import Record
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.text.stream import surface, words


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
        ("now i cut the tendon of the stapes", "narration"),
    ],
)
def test_register(text: str, register: str) -> None:
    assert {r for _, r in clauses(text)} == {register}


def test_empty_record_stays_empty() -> None:
    assert find_clauses(Record(), load()) == Record()
