"""SubRip as it is really written."""

from __future__ import annotations

import pytest

from readers.read import read, rows


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1\n00:00:01,000 --> 00:00:02,000\nflap\n", [(1000, 2000, "flap")]),
        ("00:00:01.5 --> 00:00:02.25\nflap", [(1500, 2250, "flap")]),
        ("1\n100:00:01,000-->100:00:02,000\nflap", [(360_001_000, 360_002_000, "flap")]),
        ("1\n00:00:01,000 --> 00:00:02,000 X1:53 X2:303 Y1:438\nflap", [(1000, 2000, "flap")]),
        (
            '1\n0:00:01,000 --> 0:00:02,000\n{\\an8}<i>fl</i>ap <font color="#ff0">x</font>',
            [(1000, 2000, "flap x")],
        ),
        (
            "\n\n7\n00:00:01,000 --> 00:00:02,000\nflap\n\n\n\nmore\n\n8\n00:00:03,000 --> 00:00:04,000\nx",
            [(1000, 2000, "flap more"), (3000, 4000, "x")],
        ),
        (
            "1\n00:00:01,000 --> 00:00:02,000\nflap\n2\n00:00:03,000 --> 00:00:04,000\nx",
            [(1000, 2000, "flap 2"), (3000, 4000, "x")],
        ),
        (
            "1\n00:00:01,000 --> 00:00:02,000\nfour\n5\n\n2\n00:00:03,000 --> 00:00:04,000\n6\n",
            [(1000, 2000, "four 5"), (3000, 4000, "6")],
        ),
        (
            "1\n00:00:01,000 --> 00:00:02,000\nsize\n\n4\n\n2\n00:00:03,000 --> 00:00:04,000\nx",
            [(1000, 2000, "size 4"), (3000, 4000, "x")],
        ),
        ("1\n00:00:01,000 --> 00:00:02,000\n\n2\n00:00:03,000 --> 00:00:04,000\nx", [(3000, 4000, "x")]),
        (
            "1\n00:00:01,000 --> 00:00:02,000\nat 10:30 --> theatre 2",
            [(1000, 2000, "at 10:30 --> theatre 2")],
        ),
    ],
)
def test_cues_are_read(text: str, expected: list[tuple[int, int, str]]) -> None:
    assert rows(read(text)) == expected


def test_out_of_order_and_overlapping_cues_are_sorted_and_kept() -> None:
    text = (
        "1\n00:00:05,000 --> 00:00:09,000\nthird\n\n2\n00:00:01,000 --> 00:00:06,000\nfirst\n\n"
        "3\n00:00:01,000 --> 00:00:02,000\nsecond\n"
    )
    record = read(text)
    assert rows(record) == [(1000, 6000, "first"), (1000, 2000, "second"), (5000, 9000, "third")]
    assert [line.id for line in record.lines] == ["line-1", "line-2", "line-3"]
