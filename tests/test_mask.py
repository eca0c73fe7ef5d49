"""Masking: what was announced as personal is nowhere in any output, and every offset stays true."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import say
from otochron.corrections import mask_record
from otochron.lexicon import load
from otochron.lexicon.personal import personal_spans
from otochron.model import (
    Bilingual,
    Case,
    Check,
    Correction,
    Item,
    Mention,
    Record,
    Recording,
    Repair,
    Saying,
    Span,
    dump_record,
)
from otochron.stages.mentions import find_mentions
from otochron.text.stream import split_words, surface, words
from otochron.writers.captions import write_captions
from otochron.writers.chapters import write_chapters
from otochron.writers.note import write_note

LEXICON = load()
SECRETS = ("Zorblatt", "Quimperlo", "zorblatt", "quimperlo", "4711", "vingt-trois")


TOLD = "careful with zorblatt she moves monsieur quimperlo please"


def spoken() -> Record:
    """A record in which a name, a birth date and a number are repeated in every field that repeats words."""
    texts = ("so this is madame Zorblatt elle est née le vingt-trois mai file number 4711", TOLD)
    said = say("fr", *texts)
    first, second = said.lines
    name = Span(line=first.id, start=18, to_line=first.id, end=26, start_ms=0, end_ms=400)
    caution = Span(line=second.id, start=0, to_line=second.id, end=30, start_ms=6000, end_ms=7000)
    heard = first.heard.replace("Zorblatt", "sore plate")
    shift = len("sore plate") - len("Zorblatt")
    line = first.evolve(heard=heard, voice="Dr Quimperlo")
    repair = Repair.model_validate(
        {
            "id": "repair-line-1-18",
            "line": first.id,
            "heard_start": 18,
            "heard_end": 26 + shift,
            "heard": "sore plate",
            "text_start": 18,
            "text_end": 26,
            "text": "Zorblatt",
            "concept": "stapes-footplate",
            "language": "en",
            "score": 0.9,
            "decision": "applied",
            "alternatives": ("Zorblatt",),
        }
    )
    mention = Mention.model_validate(
        {
            **name.model_dump(),
            "id": "mention-line-1-18",
            "surface": "Zorblatt",
            "concept": None,
            "kind": "graft",
            "language": "en",
        }
    )
    saying = Saying(
        concept=None, text="careful with zorblatt she moves", start_ms=6000, language="en", evidence=(caution,)
    )
    return said.evolve(
        recording=Recording(name="Zorblatt-4711.vtt", sha256="ab" * 32),
        lines=(line, second),
        repairs=(repair,),
        mentions=(mention,),
        case=Case(cautions=(saying,), grafts=(Item(concept=None, attributes={"name": "Zorblatt"}, evidence=(name,)),)),
        corrections=(Correction(target="repair", was="Zorblatt", now="applied: Quimperlo 4711", by="Dr Quimperlo"),),
        checks=(
            Check(
                code="personal-data",
                level="stop",
                message=Bilingual(en="spoken: Zorblatt", fr="dit : Zorblatt"),
                evidence=(name,),
            ),
            Check(
                code="unknown-name", level="look", message=Bilingual(en="Zorblatt?", fr="Zorblatt ?"), evidence=(name,)
            ),
        ),
    )


def everything(record: Record) -> str:
    parts = [
        dump_record(record),
        write_captions(record),
        write_captions(record, heard=True),
        write_captions(record, "srt"),
    ]
    for lang in ("en", "fr"):
        parts += [write_note(record, LEXICON, lang, form) for form in ("md", "html", "txt")]  # type: ignore[arg-type]
        parts += [write_chapters(record, LEXICON, lang, form) for form in ("webvtt", "text", "json")]  # type: ignore[arg-type]
    return "\n".join(parts)


@pytest.mark.parametrize("secret", SECRETS)
def test_nothing_of_what_is_hidden_is_left(secret: str) -> None:
    assert secret in everything(spoken())
    assert secret not in everything(mask_record(spoken(), LEXICON))


def test_what_was_heard_for_a_name_is_hidden_with_it() -> None:
    masked = mask_record(spoken(), LEXICON)
    assert masked.lines[0].heard.startswith("so this is madame ████ █████ elle est née ██ █████-█████ ███")
    assert masked.repairs[0].heard == "████ █████"
    assert (masked.repairs[0].concept, masked.repairs[0].alternatives) == (None, ())


def test_a_name_is_hidden_wherever_it_is_spoken_and_other_words_stay() -> None:
    masked = mask_record(spoken(), LEXICON)
    assert masked.lines[1].text == "careful with ████████ she moves monsieur █████████ please"
    assert masked.case.cautions[0].text == "careful with ████████ she moves"


def test_the_stop_becomes_a_note_that_it_is_hidden() -> None:
    checks = mask_record(spoken(), LEXICON).checks
    assert [(check.code, check.level) for check in checks] == [
        ("personal-data-hidden", "info"),
        ("unknown-name", "look"),
    ]


def test_voices_and_the_name_of_the_file_are_hidden() -> None:
    masked = mask_record(spoken(), LEXICON)
    assert masked.lines[0].voice == "voice 1"
    assert masked.recording.name == "recording.vtt"
    assert masked.recording.sha256 == spoken().recording.sha256


def test_without_personal_data_only_names_of_file_and_voices_change() -> None:
    said = say("fr", "on décolle le lambeau", "la corde est intacte")
    assert mask_record(said, LEXICON).evolve(recording=said.recording) == said


TALK = (
    "madame",
    "dr",
    "zorblatt",
    "née",
    "le",
    "stapes",
    "file",
    "number",
    "12",
    "the",
    "and",
    "l'étrier",
    "est",
    "trois",
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.lists(st.sampled_from(TALK), min_size=1, max_size=9), min_size=1, max_size=4))
def test_every_offset_stays_true(lines: list[list[str]]) -> None:
    record = find_mentions(say("en", *(" ".join(line) for line in lines)), LEXICON)
    masked = mask_record(record, LEXICON)
    hidden = {
        (w.line, w.start) for span in personal_spans(record, LEXICON) for w in words(record) if _inside(w, span, record)
    }
    for one, two in zip(record.lines, masked.lines, strict=True):
        assert len(one.text) == len(two.text)
        assert [m.span() for m in re.finditer(r"\S+", one.text)] == [m.span() for m in re.finditer(r"\S+", two.text)]
        for start, end in split_words(one.text):
            if (one.id, start) in hidden:
                assert not any(sign.isalnum() for sign in two.text[start:end])
            else:
                assert one.text[start:end] == two.text[start:end] or "zorblatt" in one.text[start:end]


def _inside(word, span: Span, record: Record) -> bool:  # type: ignore[no-untyped-def]
    order = {line.id: n for n, line in enumerate(record.lines)}
    return (order[span.line], span.start) <= (order[word.line], word.start) < (order[span.to_line], span.end)


def test_surfaces_are_those_of_the_hidden_text() -> None:
    masked = mask_record(spoken(), LEXICON)
    assert all(mention.surface == surface(masked, mention) for mention in masked.mentions)
