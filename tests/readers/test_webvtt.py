"""WebVTT: settings, voices, languages, inner times, and what is no speech."""

from __future__ import annotations

import pytest

from readers.read import given, read, rows, timed


def cue(payload: str) -> str:
    return f"WEBVTT\n\n00:01.000 --> 00:05.000\n{payload}\n"


@pytest.mark.parametrize(
    ("payload", "heard"),
    [
        ("we <b>lift</b> the <i.loud>flap</i>", "we lift the flap"),
        ("<c.yellow.bg_blue>la platine</c>", "la platine"),
        ("R&amp;D &lt;4&nbsp;mm&gt;&lrm; caf&eacute; &#233;", "R&D <4 mm> café é"),
        ("R&D and AT&T; 4 < 5 <- no", "R&D and AT&T; 4 < 5 <- no"),
        ("&lt;b&gt; stays", "<b> stays"),
        ("<ruby>incus<rt>enclume</rt></ruby>", "incusenclume"),
        ("two\nrows  of\u00a0text", "two rows of text"),
        ("l'e\u0301trier mal\u00adleus", "l'étrier malleus"),
        ("never <b>closed", "never closed"),
    ],
)
def test_text_of_a_cue_is_what_is_shown(payload: str, heard: str) -> None:
    assert rows(read(cue(payload))) == [(1000, 5000, heard)]


@pytest.mark.parametrize(
    ("timing", "start", "end"),
    [
        ("00:01.000 --> 00:02.000", 1000, 2000),
        ("00:00:01.000 --> 00:00:02.000", 1000, 2000),
        ("123:00:01.000 --> 123:00:02.500", 442_801_000, 442_802_500),
        ("9999:59:59.000 --> 9999:59:59.999", 35_999_999_000, 35_999_999_999),
        ("00:01.000\t-->\t00:02.000 align:start position:10%,line-left size:35%", 1000, 2000),
        ("00:01.000 --> 00:01.000", 1000, 1000),
        ("0:01,5 --> 0:02,25", 1500, 2250),
    ],
)
def test_times_are_read_and_settings_passed_over(timing: str, start: int, end: int) -> None:
    assert rows(read(f"WEBVTT\n\n{timing}\nflap\n")) == [(start, end, "flap")]


def test_what_is_no_cue_is_no_speech() -> None:
    text = (
        "WEBVTT - operation\nKind: captions\nLanguage: fr\n\n"
        "STYLE\n::cue { color: red }\n\nREGION\nid:a\nwidth:40%\n\n"
        "NOTE one\nmore of it\n\nNOTE\n00 is no time\n\n"
        "intro\n00:01.000 --> 00:02.000\nthe flap\n\n"
        "NOTE a --> b\n\nNOTES\n00:03.000 --> 00:04.000\n\n\n"
        "00:05.000 --> 00:06.000\nla platine\n00:07.000 --> 00:08.000\nno gap before\n"
    )
    record = read(text)
    assert rows(record) == [
        (1000, 2000, "the flap"),
        (5000, 6000, "la platine"),
        (7000, 8000, "no gap before"),
    ]
    assert [line.id for line in record.lines] == ["line-1", "line-2", "line-3"]


@pytest.mark.parametrize(
    ("payload", "expected"),
    [
        ("<v Surgeon>flap", [("Surgeon", 1000, 5000, "flap")]),
        ("<v.loud  Dr  A &amp; B>flap</v>", [("Dr A & B", 1000, 5000, "flap")]),
        ("<v>flap", [(None, 1000, 5000, "flap")]),
        ("<v A>one\n<v A>two", [("A", 1000, 5000, "one two")]),
        ("<v A>abcd</v><v B>efgh</v>", [("A", 1000, 3000, "abcd"), ("B", 3000, 5000, "efgh")]),
        ("<v A>ab</v> efgh", [("A", 1000, 2143, "ab"), (None, 2143, 5000, "efgh")]),
        ("<v A>abcd <00:02.000><v B>efgh", [("A", 1000, 2000, "abcd"), ("B", 2000, 5000, "efgh")]),
    ],
)
def test_each_voice_has_its_line(payload: str, expected: list[tuple[str | None, int, int, str]]) -> None:
    lines = read(cue(payload)).lines
    assert [(line.voice, line.start_ms, line.end_ms, line.heard) for line in lines] == expected


@pytest.mark.parametrize(
    ("payload", "expected"),
    [
        ("on voit <lang en-GB>the round window</lang> ici", [("the round window", "en")]),
        (
            "<lang fr>la platine <lang en>is thin</lang> ici</lang> x",
            [("la platine", "fr"), ("is thin", "en"), ("ici", "fr")],
        ),
        ("<lang de>der Amboss</lang> the incus", []),
        ("<lang fr>jamais fermé", [("jamais fermé", "fr")]),
        ("<lang fr></lang>flap", []),
        ("</lang>flap", []),
    ],
)
def test_language_spans_are_given(payload: str, expected: list[tuple[str, str]]) -> None:
    line = read(cue(payload)).lines[0]
    assert given(line) == expected
    assert line.languages == ()


def test_language_spans_follow_voices_and_spaces() -> None:
    lines = read(cue("<v A>  the <lang fr>l'e\u0301trier  est</v><v B> fixe\u0301</lang> now")).lines
    assert [given(line) for line in lines] == [[("l'étrier est", "fr")], [("fixé", "fr")]]


def test_a_language_may_begin_inside_a_letter() -> None:
    (line,) = read(cue("le <lang en>e</lang>\u0301tr <lang fr>x")).lines
    assert line.heard == "le étr x"
    assert given(line) == [("é", "en"), ("x", "fr")]


def test_inner_times_give_times_to_stretches() -> None:
    record = read(cue("now <00:02.000>the stapes <00:03.500><c>is fixed</c>"))
    assert timed(record.lines[0]) == [
        ("now", 1000, 2000),
        ("the stapes", 2000, 3500),
        ("is fixed", 3500, 5000),
    ]
    assert record.recording.time_basis == "word"


@pytest.mark.parametrize("stamp", ["<00:00.500>", "<00:09.000>", "<00:75.000>"])
def test_inner_times_outside_the_cue_are_passed_over(stamp: str) -> None:
    record = read(cue(f"now {stamp}the stapes"))
    assert rows(record) == [(1000, 5000, "now the stapes")]
    assert record.lines[0].words == ()
    assert record.recording.time_basis == "cue"


def test_no_cues_give_an_empty_record() -> None:
    record = read("WEBVTT\n\nNOTE nothing was said\n")
    assert record.lines == ()
    assert record.recording.duration_ms == 0


def test_empty_cues_give_no_lines_but_time() -> None:
    record = read("WEBVTT\n\n00:01.000 --> 00:02.000\n\n00:03.000 --> 00:04.000\n<v A> </v>\n")
    assert record.lines == ()
    assert record.recording.duration_ms == 4000
