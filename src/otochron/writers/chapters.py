"""Chapter marks from the steps that were done: titles, approach, pitfalls, key points, and what the recording lacks.

What a teaching video of ear surgery should have: IVORY guideline, Simon et al., Laryngoscope 2021;131:E732-7 [V]:
distinct stages, the approach, bilateral audiometry, pitfalls, key points. The list is data:
``lexicons/rules/video-items.toml``.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from otochron.lexicon import Lexicon
from otochron.model import Lang, Record, Saying, Step
from otochron.writers.captions import escaped, webvtt_time
from otochron.writers.lacking import lacking
from otochron.writers.note.document import upper
from otochron.writers.note.teller import Teller
from otochron.writers.wording import clock

SHORTEST_MS = 10_000


@dataclass
class Chapter:
    """One stretch of the recording; ``steps`` are those in it, ``title_of`` the longest."""

    start_ms: int
    end_ms: int
    title: str
    steps: list[Step] = field(default_factory=list)
    pitfalls: list[Saying] = field(default_factory=list)
    key_points: list[Saying] = field(default_factory=list)


def write_chapters(record: Record, lexicon: Lexicon, language: Lang, form: str = "webvtt") -> str:
    """Write the chapter marks of a record.

    Parameters
    ----------
    record : Record
        Complete.
    lexicon : Lexicon
        Titles of steps.
    language : {"en", "fr"}
        Language of the titles.
    form : {"webvtt", "text", "json"}
        A chapters track; a list with times to paste under a video; or everything as data.
    """
    teller = Teller(record, lexicon, language)
    found = chapters(teller)
    missing = lacking(record, lexicon, language, stages=len(found))
    return {"webvtt": _webvtt, "text": _text, "json": _json}[form](teller, found, missing)


def chapters(teller: Teller) -> list[Chapter]:
    """Give the chapters: in order, without overlap, none shorter than 10 s unless a caution falls in it."""
    record = teller.record
    steps = sorted((s for s in record.steps if s.status == "done"), key=lambda s: (s.start_ms, s.end_ms))
    if not steps:
        return []
    end = max(record.recording.duration_ms, steps[-1].end_ms)
    runs = _runs(steps, end, sorted(c.start_ms for c in _sayings(record.case.cautions)))
    found = [_chapter(teller, run, start, stop) for run, start, stop in runs]
    opening = found[0].start_ms
    if opening >= SHORTEST_MS:
        found.insert(0, Chapter(0, opening, teller.say("chapter-opening")))
    else:
        found[0].start_ms = 0
    found[0].title = _with_approach(teller, found[0].title)
    for chapter in found:
        chapter.pitfalls = _inside(_sayings(record.case.cautions), chapter)
        chapter.key_points = _inside(_sayings(record.case.reasons), chapter)
    return found


def _sayings(sayings: tuple[Saying, ...]) -> list[Saying]:
    return [s for s in sayings if s.echo_of is None and s.status != "retracted"]


def _inside(sayings: list[Saying], chapter: Chapter) -> list[Saying]:
    return [s for s in sayings if chapter.start_ms <= s.start_ms < chapter.end_ms]


def _runs(steps: list[Step], end: int, cautions: list[int]) -> list[tuple[list[Step], int, int]]:
    """Put steps together that repeat, or that would make a chapter of less than 10 s without a caution."""
    runs: list[list[Step]] = []
    for step in steps:
        if runs and runs[-1][-1].step == step.step:
            runs[-1].append(step)
        else:
            runs.append([step])
    while len(runs) > 1:
        bounds = [*(run[0].start_ms for run in runs), end]
        short = next(
            (
                n
                for n in range(len(runs))
                if bounds[n + 1] - bounds[n] < SHORTEST_MS
                and not any(bounds[n] <= ms < bounds[n + 1] for ms in cautions)
            ),
            None,
        )
        if short is None:
            break
        # A short step joins the one before it; the first joins the one after.
        at = max(0, short - 1)
        runs[at : at + 2] = [runs[at] + runs[at + 1]]
    bounds = [*(run[0].start_ms for run in runs), end]
    return [(run, bounds[n], max(bounds[n], bounds[n + 1])) for n, run in enumerate(runs)]


def _chapter(teller: Teller, run: list[Step], start: int, stop: int) -> Chapter:
    spent: dict[str, int] = {}
    for step in run:
        spent[step.step] = spent.get(step.step, 0) + step.end_ms - step.start_ms
    longest = max(spent, key=lambda name: spent[name])
    title = teller.title(longest)
    if all(step.revisit_of for step in run if step.step == longest):
        title = teller.words.say("chapter-again", what=title)
    return Chapter(start, stop, upper(teller.grammar.tidy(title)), run)


def _with_approach(teller: Teller, title: str) -> str:
    case = teller.record.case
    ways = [teller.name(i.concept) for i in case.approaches if i.status == "affirmed" and i.echo_of is None]
    side = [teller.say(f"ear-{case.side.value}")] if case.side.value else []
    told = [*side, *dict.fromkeys(ways)]
    return teller.grammar.tidy(teller.words.say("chapter-approach", what=title, how=", ".join(told))) if told else title


def _marks(teller: Teller, chapter: Chapter) -> str:
    marks = [(chapter.pitfalls, "pitfall"), (chapter.key_points, "key-point")]
    told = [teller.say(f"mark-{name}") for sayings, name in marks if sayings]
    return f" [{', '.join(told)}]" if told else ""


def _webvtt(teller: Teller, found: list[Chapter], missing: list[str]) -> str:
    parts = ["WEBVTT"]
    if missing:
        lines = [teller.say("video-lacks"), *(f"- {_noted(item)}" for item in missing)]
        parts.append("NOTE\n" + "\n".join(lines))
    for chapter in found:
        title = escaped(chapter.title + _marks(teller, chapter))
        parts.append(f"{webvtt_time(chapter.start_ms)} --> {webvtt_time(chapter.end_ms)}\n{title}")
    return "\n\n".join(parts) + "\n"


def _noted(text: str) -> str:
    return text.replace("-->", "→")


def _text(teller: Teller, found: list[Chapter], missing: list[str]) -> str:
    lines: list[str] = []
    for chapter in found:
        lines.append(f"{clock(chapter.start_ms)} {chapter.title}{_marks(teller, chapter)}")
        for sayings, name in ((chapter.pitfalls, "pitfall"), (chapter.key_points, "key-point")):
            for saying in sayings:
                quoted = teller.grammar.quoted(saying.text.strip())
                mark = teller.grammar.tidy(teller.words.say("lead", what=teller.words.say(f"mark-{name}")))
                lines.append(f"    {clock(saying.start_ms)} {mark} {quoted}")
    if missing:
        lines += ["", teller.say("video-lacks"), *(f"- {item}" for item in missing)]
    return "\n".join(lines) + "\n"


def _json(teller: Teller, found: list[Chapter], missing: list[str]) -> str:
    case = teller.record.case
    data: dict[str, Any] = {
        "recording": teller.record.recording.name,
        "language": teller.lang,
        "side": case.side.value,
        "approaches": [i.concept for i in case.approaches if i.status == "affirmed" and i.echo_of is None],
        "chapters": [
            {
                "start_ms": chapter.start_ms,
                "end_ms": chapter.end_ms,
                "title": chapter.title,
                "steps": [step.id for step in chapter.steps],
                "pitfalls": [_saying(s) for s in chapter.pitfalls],
                "key_points": [_saying(s) for s in chapter.key_points],
            }
            for chapter in found
        ],
        "lacking": missing,
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _saying(saying: Saying) -> dict[str, Any]:
    return {"start_ms": saying.start_ms, "language": saying.language, "text": saying.text, "about": list(saying.about)}
