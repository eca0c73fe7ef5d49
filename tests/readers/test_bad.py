"""Broken files: each names its place and its fault, and says what to do."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from otochron.errors import ReadError
from otochron.readers import read_bytes

BAD = Path(__file__).parent.parent / "bad"
KINDS = ("any_", "webvtt_", "srt_", "ttml_", "blocks_", "segments_")

# file, place after its name, a piece of what was found
FAULTS = [
    ("any_empty.txt", "", "is empty"),
    ("any_blank.txt", "", "is empty"),
    ("any_binary_picture.vtt", "", "binary"),
    ("any_binary_archive.md", "", "binary"),
    ("any_nul_character.srt", ", line 7", "NUL"),
    ("any_latin1.vtt", ", line 4", "byte 0xe9 is not UTF-8"),
    ("any_utf16_without_mark.srt", "", "UTF-16 without a byte order mark"),
    ("any_utf16_cut_off.vtt", ", line 4", "not UTF-16"),
    ("any_utf32.srt", "", "UTF-32"),
    ("any_no_times.txt", "", "no times"),
    ("any_web_page.html", "", "web page"),
    ("webvtt_cue_without_arrow.vtt", ", line 6", "without a time line"),
    ("webvtt_words_without_times.vtt", ", line 6", "'la platine' stands without a time line"),
    ("webvtt_end_before_start.vtt", ", line 6", "ends at 3.000 s, before its start at 4.000 s"),
    ("webvtt_broken_time.vtt", ", line 6", "is not a time line"),
    ("webvtt_negative_time.vtt", ", line 6", "negative"),
    ("webvtt_seconds_over_59.vtt", ", line 6", "more than 59"),
    ("webvtt_huge_time.vtt", ", line 6", "more than 10000 hours"),
    ("webvtt_header_glued.vtt", ", line 1", "WEBVTTfile"),
    ("srt_cue_without_arrow.srt", ", line 6", "has no arrow"),
    ("srt_first_cue_without_arrow.srt", ", line 2", "has no arrow"),
    ("srt_missing_time_line.srt", ", line 5", "cue 2 has no time line"),
    ("srt_end_before_start.srt", ", line 6", "before its start"),
    ("srt_broken_time.srt", ", line 6", "is not a time line"),
    ("srt_words_before_first_time.srt", ", line 1", "'the flap' stands before the first time line"),
    ("srt_negative_time.srt", ", line 6", "negative"),
    ("srt_minutes_over_59.srt", ", line 6", "more than 59"),
    ("ttml_entity_bomb.ttml", ", line 2", "document type"),
    ("ttml_external_entity.ttml", ", line 2", "document type"),
    ("ttml_unknown_entity.ttml", ", line 5", "undefined entity"),
    ("ttml_end_before_begin.ttml", ", line 5", "ends (3s) before it begins (4s)"),
    ("ttml_no_times.ttml", "", "no times"),
    ("ttml_broken_time.ttml", ", line 5", "'3 s' is not a time"),
    ("ttml_negative_time.ttml", ", line 5", "'-3s' is not a time"),
    ("ttml_huge_time.ttml", ", line 5", "more than 10000 hours"),
    ("ttml_wall_clock.ttml", ", line 5", "is not a time"),
    ("ttml_cut_off.ttml", ", line 5", "not well-formed"),
    ("ttml_other_xml.xml", ", line 2", "root is <transcript>"),
    ("ttml_frame_rate_zero.ttml", ", line 2", "rate '0'"),
    ("blocks_seconds_over_59.md", ", line 3", "0:75 has more than 59"),
    ("blocks_minutes_over_59.md", ", line 3", "1:75:00 has more than 59"),
    ("blocks_range_backwards.md", ", line 3", "before its start"),
    ("blocks_huge_time.md", ", line 2", "more than 10000 hours"),
    ("segments_truncated.json", ", line 3", "ends too early"),
    ("segments_missing_comma.json", ", line 3", "not JSON"),
    ("segments_no_list.json", ", line 1", "without a list of segments"),
    ("segments_nested_too_deep.json", "", "nested too deep"),
    ("segments_number_too_long.json", "", "too long"),
    ("segments_nan_time.json", ", line 3, segment 2", "nan is not a finite number"),
    ("segments_infinite_time.json", ", line 3, segment 2", "inf is not a finite number"),
    ("segments_negative_time.json", ", line 3, segment 2", "negative"),
    ("segments_huge_time.json", ", line 3, segment 2", "more than 10000 hours"),
    ("segments_no_start.json", ", line 3, segment 2", "no start time"),
    ("segments_no_text.json", ", line 3, segment 2", "no text"),
    ("segments_text_is_number.json", ", line 3, segment 2", "no text"),
    ("segments_end_before_start.json", ", line 3, segment 2", "before its start"),
    ("segments_time_as_words.json", ", line 3, segment 2", "'two', which is no number"),
    ("segments_time_is_true.json", ", line 3, segment 2", "bool, which is no number"),
    ("segments_word_end_before_start.json", ", line 3, segment 2, word 2", "before its start"),
    ("segments_word_time_nan.json", ", line 3, segment 2, word 1", "nan"),
    ("segments_segment_is_list.json", ", line 3, segment 2", "a list stands for a segment"),
]


@pytest.mark.parametrize(("file", "place", "found"), FAULTS)
def test_broken_file_says_where_what_and_what_to_do(file: str, place: str, found: str) -> None:
    with pytest.raises(ReadError) as caught:
        read_bytes((BAD / file).read_bytes(), file)
    error = caught.value
    assert error.where == file + place
    assert found in error.found
    assert error.expected
    assert error.remedy
    assert "\n" not in str(error)
    assert str(pickle.loads(pickle.dumps(error))) == str(error)


def test_every_broken_transcript_is_in_the_table() -> None:
    files = {path.name for path in BAD.iterdir() if path.name.startswith(KINDS)}
    assert files == {file for file, _, _ in FAULTS}


def test_name_of_no_reader_is_an_error() -> None:
    with pytest.raises(ReadError, match="no reader 'word'"):
        read_bytes(b"[0:00] flap", "x", "word")


def test_too_many_bytes_are_refused_at_once() -> None:
    with pytest.raises(ReadError, match="at most 32 MiB"):
        read_bytes(bytes(33 * 2**20), "x.vtt")
