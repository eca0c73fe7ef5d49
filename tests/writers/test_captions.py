"""Subtitles: valid, short, in order; re-read by our own reader and by an independent library."""

from __future__ import annotations

import re
from io import StringIO
from pathlib import Path

import pytest
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from build import say
from otochron.lexicon import load
from otochron.model import Clause, Line, Record, Recording, Repair, Span, WordTime
from otochron.readers import read_bytes
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.writers.captions import write_captions
from writers.made import MADE

SAMPLES = Path(__file__).parents[2] / "samples"
WORDS = (
    "stapes",
    "étrier",
    "la",
    "platine",
    "is",
    "<b>",
    "&",
    "-->",
    "a",
    "fixed.",
    "bloqué,",
    "…",
    "x" * 50,
    "'",
    "NOTE",
    "1",
)


def cues(text: str) -> list[tuple[int, int, list[str]]]:
    """The cues of a WebVTT text as the independent library reads them: ms, ms, rows without tags."""
    found = []
    for caption in webvtt.from_buffer(StringIO(text)):
        start, end = (round(1000 * seconds) for seconds in (caption.start_in_seconds, caption.end_in_seconds))
        start += int(caption.start.split(".")[1]) - start % 1000
        end += int(caption.end.split(".")[1]) - end % 1000
        found.append((start, end, [re.sub(r"<[^>]*>", "", row) for row in caption.raw_text.split("\n")]))
    return found


def keeps_limits(text: str) -> None:
    before = 0
    for start, end, rows in cues(text):
        assert start >= before, "subtitles overlap"
        assert 1_000 <= end - start <= 7_000
        assert len(rows) <= 2
        for row in rows:
            plain = row.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
            assert 0 < len(plain) <= 42
        before = end


def spoken(text: str) -> str:
    rows = " ".join(row for _, _, rows in cues(text) for row in rows)
    return " ".join(rows.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&").split())


@st.composite
def records(draw: st.DrawFn) -> Record:
    lines = []
    clock = 0
    for n in range(draw(st.integers(1, 6))):
        clock += draw(st.integers(0, 5_000))
        text = " ".join(draw(st.lists(st.sampled_from(WORDS), max_size=25)))
        lasting = draw(st.integers(0, 20_000))
        voice = draw(st.sampled_from([None, "Surgeon", "A <b> & c"]))
        lines.append(Line(id=f"line-{n}", start_ms=clock, end_ms=clock + lasting, heard=text, text=text, voice=voice))
        clock += lasting
    return Record(recording=Recording(time_basis="cue"), lines=tuple(lines))


@settings(max_examples=150, deadline=None)
@given(records())
def test_every_subtitle_keeps_the_limits_and_no_word_is_lost(record: Record) -> None:
    text = write_captions(record)
    keeps_limits(text)
    said = " ".join(line.text for line in record.lines).split()
    assert spoken(text).replace(" ", "") == "".join(said)


@settings(max_examples=60, deadline=None)
@given(records())
def test_our_own_reader_reads_what_we_write(record: Record) -> None:
    text = write_captions(record)
    if "-->" in text:
        again = read_bytes(text.encode(), "again.vtt")
        assert "".join("".join(line.text.split()) for line in again.lines) == "".join(
            "".join(line.text.split()) for line in record.lines
        )


@pytest.mark.parametrize("case", sorted(p.name for p in SAMPLES.iterdir()))
def test_samples_keep_the_limits(case: str) -> None:
    path = next(p for p in (SAMPLES / case).iterdir() if p.stem == "transcript")
    record = read_bytes(path.read_bytes(), path.name)
    keeps_limits(write_captions(find_clauses(find_languages(record, load()), load())))


def test_every_switch_of_language_is_marked() -> None:
    text = write_captions(MADE)
    assert "<lang en>careful never pull the chorda</lang>" in text
    assert re.search(r"<lang fr>[^<]*étrier", text)
    assert text.count("<lang") == text.count("</lang>")


def test_estimated_times_are_told() -> None:
    assert "NOTE\nTimes inside lines are estimated" in write_captions(MADE)
    timed = MADE.evolve(recording=MADE.recording.evolve(time_basis="word"))
    assert "NOTE" not in write_captions(timed)


def test_word_times_are_kept() -> None:
    words = (
        WordTime(start=0, end=4, start_ms=2_000, end_ms=2_300),
        WordTime(start=5, end=8, start_ms=9_000, end_ms=9_400),
    )
    line = Line(id="line-1", start_ms=0, end_ms=10_000, heard="open ear", text="open ear", words=words)
    record = Record(recording=Recording(time_basis="word"), lines=(line,))
    assert [(start, rows) for start, _, rows in cues(write_captions(record))] == [(2_000, ["open"]), (9_000, ["ear"])]


def test_voices_are_kept_and_never_mixed() -> None:
    said = say("en", "suction please", "here it is")
    lines = (said.lines[0].evolve(voice="Surgeon"), said.lines[1].evolve(voice="Nurse & co"))
    text = write_captions(said.evolve(lines=lines))
    assert "<v Surgeon><lang en>suction please</lang>" in text
    assert "<v Nurse &amp; co><lang en>here it is</lang>" in text


def test_heard_words_are_written_without_repairs() -> None:
    said = say("en", "the stay pees is fixed")
    line = said.lines[0].evolve(text="the stapes is fixed")
    record = said.evolve(
        lines=(line,),
        repairs=(
            Repair.model_validate(
                {
                    "id": "repair-line-1-4",
                    "line": "line-1",
                    "heard_start": 4,
                    "heard_end": 13,
                    "heard": "stay pees",
                    "text_start": 4,
                    "text_end": 10,
                    "text": "stapes",
                    "concept": "stapes",
                    "language": "en",
                    "score": 0.99,
                    "decision": "applied",
                }
            ),
        ),
    )
    assert spoken(write_captions(record)) == "the stapes is fixed"
    assert spoken(write_captions(record, heard=True)) == "the stay pees is fixed"


def test_subrip_has_numbers_commas_and_no_tags() -> None:
    text = write_captions(MADE, "srt")
    assert text.startswith("1\n00:00:00,000 --> 00:00:")
    assert "<" not in text
    again = read_bytes(text.encode(), "again.srt")
    assert " ".join(" ".join(line.text for line in again.lines).split()) == " ".join(line.text for line in MADE.lines)


def test_an_empty_record_is_a_valid_file() -> None:
    assert write_captions(Record()) == "WEBVTT\n"
    assert write_captions(Record(), "srt") == ""


def test_a_cut_stands_where_a_statement_ends() -> None:
    texts = ("so now we raise the flap and we are in the middle ear here is", "the annulus it is white we lift it")
    said = say("en", *texts)
    ends = [("line-1", texts[0].index(" here")), ("line-2", len(texts[1]))]
    spans = [
        Span(line="line-1", start=0, to_line=ends[0][0], end=ends[0][1], start_ms=0, end_ms=0),
        Span(line="line-1", start=ends[0][1] + 1, to_line=ends[1][0], end=ends[1][1], start_ms=0, end_ms=0),
    ]
    clauses = tuple(Clause(id=f"clause-{n}", span=span, language="en") for n, span in enumerate(spans))
    rows = [" ".join(rows) for _, _, rows in cues(write_captions(said.evolve(clauses=clauses)))]
    assert rows == [
        "so now we raise the flap and we are in the middle ear",
        "here is the annulus it is white we lift it",
    ]
