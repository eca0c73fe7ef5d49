"""Our readings beside those of three libraries, on valid files: webvtt-py, pysubs2, ttconv.

Sources: https://pypi.org/project/webvtt-py/, https://pypi.org/project/pysubs2/, https://pypi.org/project/ttconv/
Where a library reads less than the standard, its files are written without that, and the reason stands there.
"""

from __future__ import annotations

import html
import io
import random
import xml.etree.ElementTree as ET
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest

from otochron.model import Record
from otochron.readers import read_bytes

Row = tuple[int, int, str]
SPEECH = "we lift the flap et l'étrier est fixé 0.4 mm drum's café œdème — done, là: now? x"
VOCABULARY = SPEECH.split()
VTT_TAGS = [
    ("", ""),
    ("<i>", "</i>"),
    ("<c.yellow.loud>", "</c>"),
    ("<b><u>", "</u></b>"),
    ("<lang fr>", "</lang>"),
]
SRT_TAGS = [("", ""), ("<i>", "</i>"), ('<font color="#ff0000">', "</font>"), ("<b><u>", "</u></b>")]
TTML_TAGS = [("", ""), ('<span xml:lang="fr">', "</span>"), ("<span>", "<br/></span>")]


def plain(text: str) -> str:
    return " ".join(text.split())


def rows(record: Record) -> list[Row]:
    return [(line.start_ms, line.end_ms, line.heard) for line in record.lines]


def by_start(found: list[Row]) -> list[Row]:
    return sorted(found, key=lambda row: row[0])


def spoken(seed: int, hours: int) -> list[tuple[int, int, list[str]]]:
    """Cues in any order, some over one another, some late."""
    rng = random.Random(seed)
    cues = []
    for _ in range(60):
        start = rng.randrange(0, 3_600_000 * rng.choice([1, 1, 4, hours]))
        cues.append((start, start + rng.randrange(1, 9000), rng.choices(VOCABULARY, k=rng.randint(1, 9))))
    return cues


def clock(ms: int, mark: str) -> str:
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}{mark}{ms % 1000:03d}"


def marked(words: list[str], rng: random.Random, tags: list[tuple[str, str]]) -> str:
    """Words with a tag around one, and a new row here and there."""
    place = rng.randrange(len(words))
    opening, closing = rng.choice(tags)
    parts = [f"{opening}{word}{closing}" if n == place else word for n, word in enumerate(words)]
    return "".join(part + rng.choice([" ", " ", "\n"]) for part in parts).strip()


def webvtt(seed: int, hours: int = 150, cues_only: bool = False) -> str:
    rng = random.Random(seed)
    parts = ["WEBVTT - invented\n"]
    if not cues_only:
        parts += ["STYLE\n::cue { color: lime }\n", "REGION\nid:fred\nwidth:40%\n", "NOTE\nno speech\n"]
    for n, (start, end, words) in enumerate(spoken(seed, hours)):
        name = "" if cues_only else rng.choice(["", f"{n}\n", f"part {n} - a\n"])
        settings = rng.choice(["", " align:start position:10%", " line:0 size:35%"])
        voice = rng.choice(["", "", "<v Surgeon>", "<v.first Aide>"])
        payload = marked(words, rng, VTT_TAGS).replace("mm", rng.choice(["mm", "&lt;mm&gt;", "&amp;"]))
        parts.append(f"{name}{clock(start, '.')} --> {clock(end, '.')}{settings}\n{voice}{payload}\n")
        if not cues_only and rng.random() < 0.2:
            parts.append("NOTE not spoken\n")
    return "\n".join(parts)


def srt(seed: int, hours: int = 150) -> str:
    rng = random.Random(seed)
    return "\n".join(
        f"{n}\n{clock(start, ',')} --> {clock(end, ',')}\n{marked(words, rng, SRT_TAGS)}\n"
        for n, (start, end, words) in enumerate(spoken(seed, hours), start=1)
    )


def ttml(seed: int, simple: bool) -> str:
    """Paragraphs with times in any notation; ``simple``: clock, ms and s with ``end``, no offset."""
    rng = random.Random(seed)
    cues = sorted(spoken(seed, 150))
    shift = 0 if simple else cues[0][0] // 1000 * 1000
    written: list[Callable[[int], str]] = [
        lambda ms: clock(ms, "."),
        lambda ms: f"{ms}ms",
        lambda ms: f"{ms / 1000}s",
    ]
    if not simple:
        written.append(lambda ms: f"{ms * 10_000}t")
    body = ""
    for start, end, words in cues:
        until = f'end="{rng.choice(written)(end - shift)}"'
        if not simple and rng.random() < 0.5:
            until = f'dur="{end - start}ms"'
        begin = rng.choice(written)(start - shift)
        body += f'\n      <p begin="{begin}" {until}>{marked(words, rng, TTML_TAGS)}</p>'
    # The div has an end: without one, ttconv 1.2.3 ends it where its last child ends, but forgets the begin
    # of the div, so that what is spoken last is lost.
    at = "" if simple else f' begin="{shift}ms" end="200h"'
    names = 'xmlns="http://www.w3.org/ns/ttml" xmlns:ttp="http://www.w3.org/ns/ttml#parameter"'
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<tt {names} xml:lang="en" ttp:tickRate="10000000">'
        f"\n<body><div{at}>{body}\n</div></body></tt>"
    )


SPANS = """<tt xmlns="http://www.w3.org/ns/ttml" xmlns:ttp="http://www.w3.org/ns/ttml#parameter" xml:lang="en"
 ttp:frameRate="24" ttp:frameRateMultiplier="1000 1001"><body begin="10s" end="50s">
 <div begin="1s" end="30s"><p begin="00:00:00:12" end="00:00:02:00">one <span xml:lang="fr">deux</span></p>
  <p><span begin="4s" end="5s">three</span><span begin="5s" dur="1s">four</span></p>
  <div begin="6s" dur="3s"><p begin="1s" end="30s">cut <metadata>no</metadata>off</p></div></div>
 <div timeContainer="seq" begin="20s" end="39s"><p dur="2s">five</p><p begin="48f" dur="0.1m">six</p></div>
</body></tt>"""


def shown_by_ttconv(document: Any) -> list[tuple[int, list[str]]]:
    """What ttconv shows from each moment on, by paragraph."""
    from ttconv import model
    from ttconv.isd import ISD

    moments = []
    for moment, picture in ISD.generate_isd_sequence(document):
        texts = []
        for region in picture.iter_regions() if picture is not None else ():
            for paragraph in (e for e in region.dfs_iterator() if isinstance(e, model.P)):
                inside = [e for e in paragraph.dfs_iterator() if isinstance(e, model.Text | model.Br)]
                texts.append(plain("".join(e.get_text() if isinstance(e, model.Text) else " " for e in inside)))
        moments.append((round(Fraction(moment) * 1000), sorted(text for text in texts if text)))
    return moments


def shown_by_us(record: Record, moment: int) -> list[str]:
    shown = []
    for line in (line for line in record.lines if line.start_ms <= moment < line.end_ms):
        parts = [line.heard[w.start : w.end] for w in line.words if w.start_ms <= moment < w.end_ms]
        shown.append(" ".join(parts) if line.words else line.heard)
    return sorted(text for text in shown if text)


def compare_with_ttconv(text: str, document: Any) -> None:
    record = read_bytes(text.encode(), "x")
    moments = shown_by_ttconv(document)
    assert sum(1 for _, texts in moments if texts) > 4
    for (moment, theirs), (following, _) in pairwise(moments):
        assert shown_by_us(record, (moment + following) // 2) == theirs


@pytest.mark.parametrize("seed", range(6))
def test_webvtt_as_webvtt_py_reads_it(seed: int) -> None:
    library = pytest.importorskip("webvtt")
    text = webvtt(seed)
    record = read_bytes(text.encode(), "x")
    captions = sorted(library.from_string(text).captions, key=lambda c: c.start_time.in_milliseconds())
    times = [(c.start_time.in_milliseconds(), c.end_time.in_milliseconds()) for c in captions]
    # It leaves character references as they are.
    assert rows(record) == [(*t, plain(html.unescape(c.text))) for t, c in zip(times, captions, strict=True)]
    assert [line.voice for line in record.lines] == [c.voice for c in captions]


@pytest.mark.parametrize("seed", range(6))
def test_webvtt_as_pysubs2_reads_it(seed: int) -> None:
    library = pytest.importorskip("pysubs2")
    # It takes identifiers, notes and styles for text of the cue before, and leaves character references.
    text = webvtt(seed, cues_only=True)
    events = library.SSAFile.from_string(text, "vtt").events
    theirs = [(e.start, e.end, plain(html.unescape(e.plaintext))) for e in events]
    assert rows(read_bytes(text.encode(), "x")) == by_start(theirs)


@pytest.mark.parametrize("seed", range(6))
def test_srt_as_pysubs2_reads_it(seed: int) -> None:
    library = pytest.importorskip("pysubs2")
    text = srt(seed, hours=90)  # it reads two digits of hours
    theirs = [(e.start, e.end, plain(e.plaintext)) for e in library.SSAFile.from_string(text, "srt").events]
    assert rows(read_bytes(text.encode(), "x")) == by_start(theirs)


@pytest.mark.parametrize("seed", range(6))
def test_ttml_as_pysubs2_reads_it(seed: int) -> None:
    library = pytest.importorskip("pysubs2")
    text = ttml(seed, simple=True)  # it reads no frames, ticks or dur
    theirs = [(e.start, e.end, plain(e.plaintext)) for e in library.SSAFile.from_string(text, "ttml").events]
    assert rows(read_bytes(text.encode(), "x")) == by_start(theirs)


@pytest.mark.parametrize("seed", [None, *range(6)])
def test_ttml_as_ttconv_reads_it(seed: int | None) -> None:
    reader = pytest.importorskip("ttconv.imsc.reader")
    text = SPANS if seed is None else ttml(seed, simple=False)
    compare_with_ttconv(text, reader.to_model(ET.ElementTree(ET.fromstring(text))))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("form", "write"), [("vtt", webvtt), ("srt", srt)])
def test_subtitles_as_ttconv_reads_them(form: str, write: Callable[[int], str], seed: int) -> None:
    reader = pytest.importorskip(f"ttconv.{form}.reader")
    text = write(seed)
    compare_with_ttconv(text, reader.to_model(io.StringIO(text)))
