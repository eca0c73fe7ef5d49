"""Subtitles of a record: WebVTT with the language of every span, or SubRip.

WebVTT: W3C Candidate Recommendation 2019-04-04. SubRip has no standard; the common form is written.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from otochron.model import Record
from otochron.writers.chunks import Chunk, chunks
from otochron.writers.cues import Cue, cut

_ESTIMATED = (
    "Times inside lines are estimated from the letters: the input has no times of words.\n"
    "Les temps à l’intérieur des lignes sont estimés d’après les lettres : l’entrée n’a pas le temps de chaque mot."
)
_HEARD = "Words as the recogniser wrote them, without repairs.\nMots tels que reconnus, sans corrections."


def write_captions(record: Record, form: str = "webvtt", *, heard: bool = False) -> str:
    """Write the subtitles of a record.

    Parameters
    ----------
    record : Record
        Complete, or only read: without clauses the cuts follow the marks and the pauses.
    form : {"webvtt", "srt"}
        WebVTT carries languages and voices; SubRip carries text alone.
    heard : bool
        The words as the recogniser wrote them.
    """
    cues = cut(chunks(record, heard=heard))
    if form == "srt":
        return "".join(_srt(n, cue) for n, cue in enumerate(cues, start=1))
    notes = []
    if record.recording.time_basis != "word" and record.lines:
        notes.append(_ESTIMATED)
    if heard:
        notes.append(_HEARD)
    parts = ["WEBVTT", *(f"NOTE\n{note}" for note in notes), *(_webvtt(cue) for cue in cues)]
    return "\n\n".join(parts) + "\n"


def webvtt_time(ms: int) -> str:
    """Give a time as WebVTT writes it.

    >>> webvtt_time(3_661_001)
    '01:01:01.001'
    """
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def escaped(text: str) -> str:
    """Escape the signs that WebVTT gives a meaning.

    >>> escaped("a --> <b> & c")
    'a --&gt; &lt;b&gt; &amp; c'
    """
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _webvtt(cue: Cue) -> str:
    voice = cue.rows[0][0].voice
    head = f"<v {escaped(' '.join(voice.split()))}>" if voice and voice.strip() else ""
    rows = [" ".join(_spoken(run) for run in _runs(row)) for row in cue.rows]
    return f"{webvtt_time(cue.start_ms)} --> {webvtt_time(cue.end_ms)}\n{head}" + "\n".join(rows)


def _runs(row: Iterable[Chunk]) -> list[list[Chunk]]:
    return [list(run) for _, run in groupby(row, key=lambda piece: piece.language)]


def _spoken(run: list[Chunk]) -> str:
    return f"<lang {run[0].language}>{escaped(' '.join(piece.text for piece in run))}</lang>"


def _srt(n: int, cue: Cue) -> str:
    start, end = (webvtt_time(ms).replace(".", ",") for ms in (cue.start_ms, cue.end_ms))
    rows = "\n".join(" ".join(piece.text for piece in row).replace("-->", "→") for row in cue.rows)
    return f"{n}\n{start} --> {end}\n{rows}\n\n"
