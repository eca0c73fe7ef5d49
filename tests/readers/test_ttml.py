"""TTML: times and languages from parent to child."""

from __future__ import annotations

import pytest

from otochron.model import Record
from readers.read import given, read, rows, timed

HEAD = (
    'xmlns="http://www.w3.org/ns/ttml" xmlns:ttp="http://www.w3.org/ns/ttml#parameter" '
    'xmlns:ttm="http://www.w3.org/ns/ttml#metadata" xmlns:tts="http://www.w3.org/ns/ttml#styling"'
)


def ttml(body: str, root: str = 'xml:lang=""', head: str = "") -> Record:
    return read(f"<tt {HEAD} {root}><head>{head}</head><body>{body}</body></tt>")


@pytest.mark.parametrize(
    ("begin", "root", "ms"),
    [
        ("00:00:01", "", 1000),
        ("100:00:01.5", "", 360_001_500),
        ("00:00:01:15", "", 1500),
        ("00:00:01:05", 'ttp:frameRate="25"', 1200),
        ("00:00:01:12", 'ttp:frameRate="24" ttp:frameRateMultiplier="1000 1001"', 1500),
        ("00:00:01:12.1", 'ttp:frameRate="24" ttp:subFrameRate="2"', 1521),
        ("1.5h", "", 5_400_000),
        ("2m", "", 120_000),
        ("1.25s", "", 1250),
        ("1250ms", "", 1250),
        ("50f", 'ttp:frameRate="25"', 2000),
        ("3t", "", 3000),
        ("30000000t", 'ttp:tickRate="10000000"', 3000),
        ("50t", 'ttp:frameRate="25"', 2000),
    ],
)
def test_time_expressions(begin: str, root: str, ms: int) -> None:
    (line,) = ttml(f'<div><p begin="{begin}" dur="2s">flap</p></div>', root).lines
    assert line.start_ms == pytest.approx(ms, abs=1)
    assert line.end_ms - line.start_ms == 2000


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<div begin="10s"><p begin="1s" end="2s">a</p></div>', [(11000, 12000, "a")]),
        (
            '<div begin="10s" end="13s"><div begin="1s"><p begin="1s" end="9s">a</p></div></div>',
            [(12000, 13000, "a")],
        ),
        ('<div begin="10s" dur="5s" end="13s"><p>a</p></div>', [(10000, 13000, "a")]),
        ('<div><p begin="1s">a</p><p begin="4s">b c</p></div>', [(1000, 4000, "a"), (4000, 4800, "b c")]),
        (
            '<div timeContainer="seq"><p dur="2s">a</p><p begin="1s" dur="2s">b</p></div>',
            [(0, 2000, "a"), (3000, 5000, "b")],
        ),
        ('<div><p begin="1s" end="2s">a <span>b<br/>c</span>\n  d</p></div>', [(1000, 2000, "a b c d")]),
        ('<div><p begin="1s" end="2s" xml:space="preserve">a  b\n c</p></div>', [(1000, 2000, "a b c")]),
        (
            '<div><p begin="1s" end="2s"><metadata>no</metadata>a<ttm:desc>no</ttm:desc><set/></p></div>',
            [(1000, 2000, "a")],
        ),
        (
            '<div><p begin="3s" end="4s">b</p><p begin="1s" end="5s">a</p></div>',
            [(1000, 5000, "a"), (3000, 4000, "b")],
        ),
        (
            '<div><p begin="1s" end="2s"> <br/> </p><p begin="3s" end="4s">&lt;a &amp; b&#233;</p></div>',
            [(3000, 4000, "<a & bé")],
        ),
    ],
)
def test_intervals_go_from_parent_to_child(body: str, expected: list[tuple[int, int, str]]) -> None:
    assert rows(ttml(body)) == expected


def test_timed_spans_give_times_to_words() -> None:
    spans = '<span begin="1s" end="2s">the</span> <span begin="2s" end="4s">footplate</span>'
    record = ttml(f'<div begin="10s"><p>{spans}</p></div>')
    assert rows(record) == [(11000, 14000, "the footplate")]
    assert timed(record.lines[0]) == [("the", 11000, 12000), ("footplate", 12000, 14000)]
    assert record.recording.time_basis == "word"


@pytest.mark.parametrize(
    ("root", "body", "expected"),
    [
        (
            "",
            '<div xml:lang="fr"><p begin="1s" end="2s">la <span xml:lang="en-US">drum</span> fine</p></div>',
            [("la", "fr"), ("drum", "en"), ("fine", "fr")],
        ),
        (
            'xml:lang="fr"',
            '<div><p begin="1s" end="2s">la <span xml:lang="en">drum</span></p></div>',
            [("la", "fr"), ("drum", "en")],
        ),
        ('xml:lang="en"', '<div><p begin="1s" end="2s">la platine</p></div>', []),
        (
            'xml:lang="fr"',
            '<div xml:lang=""><p begin="1s" end="2s">la <span xml:lang="en">drum</span></p></div>',
            [("drum", "en")],
        ),
        ("", '<div xml:lang="de"><p begin="1s" end="2s">der Amboss</p></div>', []),
    ],
)
def test_languages_are_inherited(root: str, body: str, expected: list[tuple[str, str]]) -> None:
    (line,) = ttml(body, root).lines
    assert given(line) == expected


def test_agents_are_voices() -> None:
    agent = '<ttm:agent xml:id="a" type="person"><ttm:name type="full">Surgeon</ttm:name></ttm:agent>'
    head = f"<metadata>{agent}</metadata>"
    body = '<div><p begin="1s" end="2s" ttm:agent="a">flap</p><p begin="2s" end="3s" ttm:agent="b">x</p></div>'
    assert [line.voice for line in ttml(body, head=head).lines] == ["Surgeon", "b"]


@pytest.mark.parametrize("space", ["http://www.w3.org/ns/ttml", "http://www.w3.org/2006/10/ttaf1", ""])
def test_older_and_missing_namespaces_are_read(space: str) -> None:
    text = f'<tt xmlns="{space}"><body><div><p begin="1s" end="2s">flap<br/>x</p></div></body></tt>'
    assert rows(read(text)) == [(1000, 2000, "flap x")]


def test_prefix_and_leading_empty_lines() -> None:
    body = '<t:body><t:p begin="1s" end="2s">flap</t:p></t:body>'
    text = f'\n\n<t:tt xmlns:t="http://www.w3.org/ns/ttml">{body}</t:tt>'
    assert rows(read(text)) == [(1000, 2000, "flap")]


def test_no_paragraphs_give_an_empty_record() -> None:
    assert ttml("<div/>").lines == ()


def test_utf16_with_its_declaration() -> None:
    from otochron.readers import read_bytes

    body = '<body><div><p begin="1s" end="2s">é</p></div></body>'
    text = f'<?xml version="1.0" encoding="UTF-16"?><tt {HEAD}>{body}</tt>'
    assert rows(read_bytes(text.encode("utf-16"), "x")) == [(1000, 2000, "é")]
