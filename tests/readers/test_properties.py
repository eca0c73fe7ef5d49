"""Any bytes give a record or a plain error; what is written is read back."""

from __future__ import annotations

import json
import unicodedata
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from otochron.errors import ReadError
from otochron.model import Record, dump_record, load_record
from otochron.readers import READERS, read_bytes

READER = st.sampled_from([None, *sorted(READERS)])
# Pieces of the five formats, "_" for a space: noise alone would seldom get past the first line.
PARTS = """
WEBVTT 00:01.000 --> _-->_ 00:00:02,000 1 2 0 [0:01] [1:02:03] [9:99] <v_A> </v> <lang_fr> </lang>
<00:01.500> &lt; &#x301; {\\an8} NOTE STYLE #_ -_ ** flap l'étrier e\u0301 \u0301 \u00e9\ud7ff - | <!--
<br/> </span> </p> </div> </body> </tt> <body> <div> <p_begin='1s'_end='2s'> NaN _ \u200b
<span_begin='0s'_end='1s'_xml:lang='fr'> <tt_xmlns='http://www.w3.org/ns/ttml'>
{"segments":_[ {"start":_1,_"end":_2,_"text":_"flap"} , ]}
"""
BREAKS = ["\n", "\n\n", "\r", "\u00a0"]
PIECES = st.sampled_from([*(part.replace("_", " ") for part in PARTS.split()), *BREAKS])
TEXTS = st.lists(PIECES, max_size=25).map("".join)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["segments", "start", "end", "text", "words", "word", "p", "voice"]),
            inner,
            max_size=6,
        )
    ),
    max_leaves=25,
)


def check(record: Record) -> None:
    """What holds of every record that a reader gives."""
    assert [line.id for line in record.lines] == [f"line-{n}" for n in range(1, len(record.lines) + 1)]
    assert [line.start_ms for line in record.lines] == sorted(line.start_ms for line in record.lines)
    for line in record.lines:
        assert line.heard == line.text
        assert line.heard == line.heard.strip()
        assert unicodedata.is_normalized("NFC", line.heard)
        assert line.end_ms <= record.recording.duration_ms
        for spans in (line.words, line.given):
            assert all(0 <= span.start < span.end <= len(line.heard) for span in spans)
            assert all(a.end <= b.start for a, b in pairwise(spans))
    assert load_record(dump_record(record)) == record
    dump_record(record).encode("utf-8")


def read_or_refuse(data: bytes, reader: str | None) -> None:
    try:
        record = read_bytes(data, "fuzz", reader)
    except ReadError as caught:
        refusal = caught
    else:
        check(record)
        return
    assert refusal.where.startswith("fuzz")
    assert refusal.found
    assert refusal.remedy


@given(st.binary(max_size=200), READER)
@settings(max_examples=300, deadline=None)
def test_any_bytes_give_a_record_or_an_error(data: bytes, reader: str | None) -> None:
    read_or_refuse(data, reader)


@given(TEXTS, READER, st.sampled_from(["utf-8", "utf-16"]))
@settings(max_examples=1000, deadline=None)
def test_any_mixture_of_formats_gives_a_record_or_an_error(text: str, reader: str | None, encoding: str) -> None:
    read_or_refuse(text.encode(encoding), reader)


@given(TEXTS, st.sampled_from(["webvtt", "srt", "blocks", "ttml"]))
@settings(max_examples=1000, deadline=None)
def test_any_payload_gives_a_record_or_an_error(text: str, reader: str) -> None:
    heads = {
        "webvtt": "WEBVTT\n\n00:01.000 --> 00:09.000\n",
        "srt": "1\n00:00:01,000 --> 00:00:09,000\n",
        "blocks": "[0:01] ",
        "ttml": '<tt xmlns="http://www.w3.org/ns/ttml"><body><div><p begin="1s" end="9s">',
    }
    tail = "</p></div></body></tt>" if reader == "ttml" else ""
    read_or_refuse((heads[reader] + text + tail).encode(), None)


@given(JSON, st.booleans())
@settings(max_examples=500, deadline=None)
def test_any_json_gives_a_record_or_an_error(value: Any, wrapped: bool) -> None:
    read_or_refuse(json.dumps({"segments": [value]} if wrapped else value).encode(), "segments")


WORD = st.sampled_from(["flap", "l'étrier", "0.4", "mm", "&", "<", "R&D", "été", "--", "[a]", "café"])
CUES = st.lists(
    st.tuples(st.integers(0, 400_000_000), st.integers(0, 9000), st.lists(WORD, min_size=1, max_size=6)),
    min_size=1,
    max_size=8,
)


@pytest.mark.parametrize("reader", ["webvtt", "srt", "ttml", "segments"])
@given(CUES)
@settings(max_examples=80, deadline=None)
def test_what_is_written_is_read_back(reader: str, cues: list[tuple[int, int, list[str]]]) -> None:
    from otochron.readers.rolling import unroll  # growing texts would rightly be joined

    expected = sorted([(a, a + d, " ".join(words)) for a, d, words in cues], key=lambda cue: cue[0])
    from otochron.readers.pieces import Piece

    pieces = [Piece(a, b, text) for a, b, text in expected]
    if len(unroll(pieces)) != len(pieces) or [p.text for p in unroll(pieces)] != [p.text for p in pieces]:
        return
    read = read_bytes(WRITERS[reader]([(a, a + d, " ".join(words)) for a, d, words in cues]).encode(), "x")
    assert [(line.start_ms, line.end_ms, line.heard) for line in read.lines] == expected


def _clock(ms: int, mark: str) -> str:
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}{mark}{ms % 1000:03d}"


def _escape(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")


def _webvtt(cues: list[tuple[int, int, str]]) -> str:
    return "WEBVTT\n\n" + "\n".join(f"{_clock(a, '.')} --> {_clock(b, '.')}\n{_escape(t)}\n" for a, b, t in cues)


def _srt(cues: list[tuple[int, int, str]]) -> str:
    return "\n".join(f"{n}\n{_clock(a, ',')} --> {_clock(b, ',')}\n{t}\n" for n, (a, b, t) in enumerate(cues, start=1))


def _ttml(cues: list[tuple[int, int, str]]) -> str:
    rows = "".join(f'<p begin="{_clock(a, ".")}" end="{_clock(b, ".")}">{_escape(t)}</p>' for a, b, t in cues)
    return f'<tt xmlns="http://www.w3.org/ns/ttml"><body><div>{rows}</div></body></tt>'


def _segments(cues: list[tuple[int, int, str]]) -> str:
    return json.dumps([{"start": a / 1000, "end": b / 1000, "text": t} for a, b, t in cues])


WRITERS = {"webvtt": _webvtt, "srt": _srt, "ttml": _ttml, "segments": _segments}
