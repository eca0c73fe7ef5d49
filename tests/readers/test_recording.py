"""What every reader says of a recording; encodings; the format found out from the content."""

from __future__ import annotations

import hashlib
import random
from dataclasses import dataclass

import pytest

from otochron.errors import ReadError
from otochron.readers import READERS, read_bytes, sniff
from readers.read import read, rows
from sample_formats import FORMATS


@dataclass
class Spoken:
    text: str
    start: float
    end: float
    p: float = 0.5


WORDS = [
    Spoken(w, i * 0.4, i * 0.4 + 0.35)
    for i, w in enumerate(("on lift the flap et l'étrier est fixé & < thin " * 30).split())
]


@pytest.mark.parametrize("reader", sorted(READERS))
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_each_format_in_each_encoding(reader: str, encoding: str, newline: str) -> None:
    _, text = FORMATS[reader](WORDS, random.Random(7))
    data = text.replace("\n", newline).encode(encoding)
    record = read_bytes(data, "case.bin")
    assert record.recording.reader == reader == sniff(text, "x")
    assert record.recording.sha256 == hashlib.sha256(data).hexdigest()
    assert record.recording.name == "case.bin"
    said = " ".join(line.heard for line in record.lines)
    assert said == " ".join(word.text for word in WORDS)
    assert [line.text for line in record.lines] == [line.heard for line in record.lines]
    assert rows(record) == rows(read(text, reader))


def test_utf16_of_either_order() -> None:
    text = "\ufeff[0:01] l'étrier"
    assert rows(read_bytes(text.encode("utf-16-be"), "x")) == rows(read_bytes(text.encode("utf-16-le"), "x"))


@pytest.mark.parametrize(
    ("text", "reader"),
    [
        ("\n\nWEBVTT\n\n00:01.000 --> 00:02.000\na", "webvtt"),
        ("00:01.000 --> 00:02.000\na", "srt"),
        ("<!-- c --><tt xmlns='http://www.w3.org/ns/ttml'/>", "ttml"),
        ("[\n]", "segments"),
        ('  [ {"start": 1, "end": 2, "text": "[0:01] a"}]', "segments"),
        ("[0:01] 1 --> 2", "blocks"),
        ("[0:01 --> 0:02] a", "blocks"),
        ("**[0:01]** {a}", "blocks"),
        ("[ 0:01 ] a", "blocks"),
        ("<b>Title</b>\n[0:01] a", "blocks"),
        ("title\n\n<!-- v0:1 -->\n[0:01] a", "blocks"),
    ],
)
def test_format_is_found_out_from_the_content(text: str, reader: str) -> None:
    assert read(text).recording.reader == reader


def cues(*spans: tuple[int, int]) -> str:
    return "WEBVTT\n\n" + "\n".join(
        f"{a // 60:02d}:{a % 60:02d}.000 --> {b // 60:02d}:{b % 60:02d}.000\nx{a}\n" for a, b in spans
    )


@pytest.mark.parametrize(
    ("spans", "continuous"),
    [
        ([(0, 5), (65, 70)], True),
        ([(0, 5), (66, 70)], False),
        ([(0, 90), (3, 5), (100, 110)], True),
        ([(600, 605), (610, 620)], True),
        ([(0, 5)], None),
        ([], None),
    ],
)
def test_continuous_if_no_silence_between_lines_is_longer_than_a_minute(
    spans: list[tuple[int, int]], continuous: bool | None
) -> None:
    assert read(cues(*spans)).recording.continuous is continuous


ROLLING = [
    (
        "two rows",
        [
            "we lift the",
            "we lift the\nflap and then",
            "flap and then\nthe annulus",
            "the annulus\nla platine",
        ],
    ),
    (
        "old row alone between",
        ["we lift the", "we lift the\nflap", "flap", "flap\nand the", "and the", "and the\nannulus"],
    ),
    ("growing", ["we", "we lift", "we lift the", "we lift the flap", "la", "la platine"]),
]


@pytest.mark.parametrize(("_name", "payloads"), ROLLING)
def test_rolling_captions_keep_each_word_once(_name: str, payloads: list[str]) -> None:
    text = "WEBVTT\n\n" + "\n".join(f"00:{n:02d}.000 --> 00:{n + 1:02d}.000\n{p}\n" for n, p in enumerate(payloads))
    record = read(text)
    said = " ".join(line.heard for line in record.lines)
    last = {
        "two rows": "we lift the flap and then the annulus la platine",
        "old row alone between": "we lift the flap and the annulus",
        "growing": "we lift the flap la platine",
    }
    assert said == last[_name]


def test_inner_times_stay_right_in_rolling_captions() -> None:
    old = ""
    cues = []
    for n, new in enumerate(["we lift", "the flap", "la platine", "is thin", "et voilà"]):
        first, second = new.split()
        cues.append(f"00:{n:02d}.000 --> 00:{n + 1:02d}.000\n{old}\n{first}<00:{n:02d}.500><c> {second}</c>\n")
        old = new
    record = read("WEBVTT\n\n" + "\n".join(cues).replace("000\n\n", "000\n"))
    assert [line.heard for line in record.lines] == [
        "we lift",
        "the flap",
        "la platine",
        "is thin",
        "et voilà",
    ]
    assert [(w.start_ms, w.end_ms) for w in record.lines[2].words] == [(2000, 2500), (2500, 3000)]
    assert record.recording.time_basis == "word"


def test_words_said_twice_are_no_rolling_captions() -> None:
    text = "".join(
        f"{n}\n00:00:{n:02d},000 --> 00:00:{n + 1:02d},000\n{w}\n\n" for n, w in enumerate(["suction"] * 6 + ["flap"])
    )
    assert [line.heard for line in read(text).lines] == ["suction"] * 6 + ["flap"]


def test_too_many_cues_are_refused() -> None:
    with pytest.raises(ReadError, match="holds 200001 timed pieces; expected at most 200000"):
        read("".join("[0:01]" for _ in range(200_001)))


def test_words_may_run_over_the_end_of_their_line() -> None:
    text = '[{"start": 0, "end": 1, "text": "flap", "words": [{"word": "flap", "start": 0, "end": 1.2}]}]'
    record = read(text)
    assert (record.lines[0].end_ms, record.recording.duration_ms) == (1000, 1200)


@pytest.mark.parametrize("reader", sorted(READERS))
def test_four_hours_are_read_fast(reader: str) -> None:
    import time

    spoken = [Spoken(WORDS[n % len(WORDS)].text, n * 0.4, n * 0.4 + 0.35) for n in range(36_000)]
    data = FORMATS[reader](spoken, random.Random(7))[1].encode()
    start = time.process_time()
    read_bytes(data, "x")
    assert time.process_time() - start < 3  # 0.1 to 0.4 s on one slow core


@pytest.mark.parametrize(
    "text",
    [
        "[0:00] " + "stapes " * 100_000,
        "WEBVTT\n\n00:01.000 --> 10:00.000\n" + "x" * 1_000_000,
        "WEBVTT\n\n00:01.000 --> 10:00.000\n" + "<v a>b<00:02.000>c" * 50_000,
        "1\n00:00:01,000 --> 00:00:02,000\n" + "<" * 1_000_000,
        "1\n00:00:01,000 --> 00:00:02,000\n" + "2\n\n" * 300_000,
        "[0:01] " + "* " * 500_000 + "[0:02" * 100_000,
        "<tt xmlns='http://www.w3.org/ns/ttml'><body begin='1s'>"
        + "<div>" * 50_000
        + "<p>x</p>"
        + "</div>" * 50_000
        + "</body></tt>",
    ],
    ids=["one word", "one letter", "tags", "brackets", "numbers", "marks", "nesting"],
)
def test_monstrous_input_is_read_in_bounded_time(text: str) -> None:
    import time

    start = time.process_time()
    assert read(text).lines
    assert time.process_time() - start < 10
