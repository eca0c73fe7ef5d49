"""Small builders for tests: a record from words, a tiny lexicon from TOML text."""

from __future__ import annotations

from otochron.lexicon import Lexicon, load, read_lexicon
from otochron.model import Lang, LanguageSpan, Line, Record, Recording

MS_PER_WORD = 400


def line(n: int, text: str, lang: Lang | None = None, start_ms: int = 0) -> Line:
    """One line of spoken words, 400 ms a word."""
    end = start_ms + MS_PER_WORD * max(1, len(text.split()))
    spans = (LanguageSpan(start=0, end=len(text), language=lang),) if lang else ()
    return Line(id=f"line-{n}", start_ms=start_ms, end_ms=end, heard=text, text=text, languages=spans)


def say(lang: Lang | None, *texts: str) -> Record:
    """A record whose lines say ``texts`` one after another; ``lang`` None leaves the language to be found."""
    lines: list[Line] = []
    for n, text in enumerate(texts, start=1):
        lines.append(line(n, text, lang, lines[-1].end_ms if lines else 0))
    end = lines[-1].end_ms if lines else 0
    return Record(recording=Recording(name="test", duration_ms=end), lines=tuple(lines))


def tell(*texts: str) -> Record:
    """Like :func:`say`, then every stage: a complete record with the shipped word lists."""
    from otochron.pipeline import run

    return run(say(None, *texts), load())


def lexicon(text: str) -> Lexicon:
    """A tiny lexicon from TOML text."""
    return read_lexicon([("tiny.toml", text)])
