"""Write the words of a sample in one of the five input formats, cut where a recogniser would: anywhere."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from typing import Protocol
from xml.sax.saxutils import escape


class Timed(Protocol):
    """A word with its times in seconds."""

    text: str
    start: float
    end: float
    p: float


def chunks(words: list[Timed], rng: random.Random, low: float, high: float) -> Iterator[list[Timed]]:
    """Cut into pieces of ``low`` to ``high`` seconds, and at silences of more than three seconds."""
    piece: list[Timed] = []
    limit = rng.uniform(low, high)
    for word in words:
        if piece and (word.start - piece[0].start > limit or word.start - piece[-1].end > 3):
            yield piece
            piece, limit = [], rng.uniform(low, high)
        piece.append(word)
    if piece:
        yield piece


def text_of(piece: list[Timed]) -> str:
    return " ".join(word.text for word in piece)


def clock(seconds: float, mark: str) -> str:
    ms = round(seconds * 1000)
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}{mark}{ms % 1000:03d}"


def blocks(words: list[Timed], rng: random.Random) -> tuple[str, str]:
    lines = [f"[{int(p[0].start) // 60}:{int(p[0].start) % 60:02d}] {text_of(p)}" for p in chunks(words, rng, 9, 28)]
    return "md", "\n\n".join(lines) + "\n"


def webvtt(words: list[Timed], rng: random.Random) -> tuple[str, str]:
    cues = [
        f"{clock(p[0].start, '.')} --> {clock(p[-1].end, '.')}\n<v Surgeon>{escape(text_of(p))}"
        for p in chunks(words, rng, 2.5, 6.5)
    ]
    return "vtt", "WEBVTT\n\nNOTE invented speech\n\n" + "\n\n".join(cues) + "\n"


def srt(words: list[Timed], rng: random.Random) -> tuple[str, str]:
    cues = [
        f"{n}\n{clock(p[0].start, ',')} --> {clock(p[-1].end, ',')}\n{text_of(p)}"
        for n, p in enumerate(chunks(words, rng, 2.5, 6.5), start=1)
    ]
    return "srt", "\n\n".join(cues) + "\n"


def ttml(words: list[Timed], rng: random.Random) -> tuple[str, str]:
    body = "\n".join(
        f'      <p begin="{clock(p[0].start, ".")}" end="{clock(p[-1].end, ".")}">{escape(text_of(p))}</p>'
        for p in chunks(words, rng, 3, 8)
    )
    return "ttml", (
        '<?xml version="1.0" encoding="UTF-8"?>\n<tt xmlns="http://www.w3.org/ns/ttml" xml:lang="">\n'
        f"  <body>\n    <div>\n{body}\n    </div>\n  </body>\n</tt>\n"
    )


def segments(words: list[Timed], rng: random.Random) -> tuple[str, str]:
    found = [
        {
            "start": round(p[0].start, 2),
            "end": round(p[-1].end, 2),
            "text": text_of(p),
            "words": [{"word": w.text, "start": round(w.start, 2), "end": round(w.end, 2), "p": w.p} for w in p],
        }
        for p in chunks(words, rng, 3, 9)
    ]
    return "json", json.dumps({"segments": found}, ensure_ascii=False, indent=1) + "\n"


FORMATS: dict[str, Callable[[list[Timed], random.Random], tuple[str, str]]] = {
    "blocks": blocks,
    "webvtt": webvtt,
    "srt": srt,
    "ttml": ttml,
    "segments": segments,
}
