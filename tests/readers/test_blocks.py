"""Blocks: marks anywhere, Markdown taken off, and what is no speech."""

from __future__ import annotations

import pytest

from otochron.errors import ReadError
from readers.read import read, rows


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "[0:05] the flap\n\n[0:12] la platine est là",
            [(5000, 12000, "the flap"), (12000, 13600, "la platine est là")],
        ),
        ("[1:02:03] a\n[125:00] b", [(3_723_000, 7_500_000, "a"), (7_500_000, 7_500_400, "b")]),
        ("[100:00:00] a", [(360_000_000, 360_000_400, "a")]),
        ("[0:01] a [0:03] b c [0:05]\nd\n\ne", [(1000, 3000, "a"), (3000, 5000, "b c"), (5000, 5800, "d e")]),
        ("[0:01.250] a\n[0:02,5] b", [(1250, 2500, "a"), (2500, 2900, "b")]),
        ("[0:01 - 0:03] a\n[0:10–0:12] b", [(1000, 3000, "a"), (10000, 12000, "b")]),
        ("[0:01 --> 0:03] a", [(1000, 3000, "a")]),
        ("[0:09] c\n[0:01] a\n[0:04] b", [(1000, 4000, "a"), (4000, 9000, "b"), (9000, 9400, "c")]),
        ("[0:01] a\n[0:01] b\n[0:03] c", [(1000, 3000, "a"), (1000, 3000, "b"), (3000, 3400, "c")]),
        ("[0:01]\n[0:03] b", [(3000, 3400, "b")]),
        (
            "# Right ear\n\nInvented.\n\n[0:01] a\n\n## Closing\n\n[0:03] b",
            [(1000, 3000, "a"), (3000, 3400, "b")],
        ),
        (
            "## [0:01] a\n- **[0:02]** b\n* [0:03]: c\n> [0:04](#t=4) d",
            [(1000, 2000, "a"), (2000, 3000, "b"), (3000, 4000, ": c"), (4000, 4400, "d")],
        ),
        (
            "[0:01] the **foot**plate _is_ *thin*, 3*4, a_b `0.4` &lt; [see](http://x)",
            [(1000, 4600, "the footplate is thin, 3*4, a_b 0.4 < see")],
        ),
        ("[0:01] a\n\n---\n\n- b\n- [ ] c\n> d <br> <em>e</em>\n", [(1000, 3800, "a b [ ] c d e")]),
        (
            "| time | text |\n|---|---|\n| [0:01] | a |\n| [0:02] | b |",
            [(1000, 2000, "a"), (2000, 2400, "b")],
        ),
        ("<!-- 0:00 --> x -->\n[0:01] a <!-- [0:02]\nno --> b", [(1000, 1800, "a b")]),
        (
            "[0:01] take [12] or [music] 4. then\n12. more",
            [(1000, 4200, "take [12] or [music] 4. then 12. more")],
        ),
    ],
)
def test_blocks_are_read(text: str, expected: list[tuple[int, int, str]]) -> None:
    assert rows(read(text)) == expected


def test_start_times_alone_are_block_times_and_the_last_end_is_estimated() -> None:
    recording = read("[0:05] the flap\n[5:00] la platine est là").recording
    assert (recording.reader, recording.time_basis, recording.continuous) == ("blocks", "block", None)
    assert recording.last_end_estimated
    assert recording.duration_ms == 300_000 + 4 * 400


def test_a_mark_at_the_end_gives_time() -> None:
    record = read("[0:05] the flap\n[0:30]\n")
    assert rows(record) == [(5000, 5800, "the flap")]
    assert record.recording.duration_ms == 30_000


def test_forced_reader_takes_text_without_times_as_one_block() -> None:
    record = read("# Title\n\nThe **right** ear.\nLa platine.\n", "blocks")
    assert rows(record) == [(0, 6 * 400, "Title The right ear. La platine.")]
    assert record.recording.last_end_estimated
    assert record.recording.time_basis == "block"


@pytest.mark.parametrize("text", ["The right ear.\n", "<p>The right ear</p> <!-- [0:01] -->"])
def test_without_force_text_without_times_is_an_error(text: str) -> None:
    with pytest.raises(ReadError, match="no times"):
        read(text)
