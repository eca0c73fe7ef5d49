"""The speech as HTML: steps as sections, paragraphs with their time, repairs underlined, mentions marked."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from itertools import groupby

from otochron.model import Record
from otochron.writers.page.scene import Scene
from otochron.writers.page.units import Paragraph, Run, Unit
from otochron.writers.page.words import both
from otochron.writers.wording import clock


def transcript(scene: Scene) -> str:
    """Write the whole speech."""
    found: list[str] = []
    begun: set[int] = set()
    phase = None
    for part in scene.parts:
        heading = ""
        if part.step is not None:
            new_phase = scene.record.steps[part.step].phase
            heading = _heading(scene, part.step, again=part.step in begun, opens=new_phase != phase)
            begun.add(part.step)
            phase = new_phase
        paragraphs = "".join(_paragraph(scene, p) for p in part.paragraphs)
        found.append(f'<section class="part">{heading}{paragraphs}</section>\n')
    return "".join(found)


def _heading(scene: Scene, n: int, *, again: bool, opens: bool) -> str:
    """Name a step where it starts; where the speech comes back to it after a gap, its name stands small."""
    step = scene.record.steps[n]
    if again:
        return f'<p class="cont">{both(scene.title(step))} {scene.words.both("continued")}</p>'
    unsaid = f' <span class="tag">{scene.words.both("unsaid")}</span>' if step.completion == "unsaid" else ""
    shade = scene.shade(step.phase)
    phase = f'<span class="ph">{both(scene.phase(step.phase))}</span> ' if opens else ""
    return (
        f'<h3 id="step-{n}" class="{shade}" tabindex="-1">{phase}{both(scene.title(step))}{unsaid} '
        f"<small><time>{clock(step.start_ms)}</time>–<time>{clock(step.end_ms)}</time></small></h3>"
    )


def _paragraph(scene: Scene, paragraph: Paragraph) -> str:
    first = paragraph.units[0]
    voice = f'<b class="voice">{escape(first.voice)}</b> ' if first.voice else ""
    units = " ".join(_unit(scene.record, scene, unit) for unit in paragraph.units)
    time = f'<button type="button" class="tm" tabindex="-1" data-t="{first.start_ms}">{clock(first.start_ms)}</button>'
    return f'<div class="p">{time}<p>{voice}{units}</p></div>\n'


def _unit(record: Record, scene: Scene, unit: Unit) -> str:
    """Write one unit; it carries its language if it has only one, else each run of a language carries its own."""
    languages = {run.language for run in unit.runs}
    tongue = f' lang="{unit.runs[0].language}"' if len(languages) == 1 else ""
    register = "" if unit.register == "narration" else f" g-{unit.register}"
    body = "".join(
        _spoken(record, scene, language if len(languages) > 1 else None, list(runs))
        for language, runs in groupby(unit.runs, key=lambda run: run.language)
    )
    return f'<span class="u{register}" data-t="{unit.start_ms}"{tongue}>{body.strip()}</span>'


def _spoken(record: Record, scene: Scene, language: str | None, runs: Iterable[Run]) -> str:
    body = ""
    for repair, same in groupby(runs, key=lambda run: run.repair):
        inside = "".join(_marked(scene, run) for run in same)
        body += inside if repair is None else _repaired(record, repair, inside)
    return body if language is None else f'<span lang="{language}">{body}</span>'


def _repaired(record: Record, n: int, inside: str) -> str:
    repair = record.repairs[n]
    other = repair.heard if repair.decision == "applied" else repair.text
    return f'<span class="r r-{repair.decision}" data-r="{n}" data-o="{escape(other, quote=True)}">{inside}</span>'


def _marked(scene: Scene, run: Run) -> str:
    names: list[str] = []
    places = ""
    if run.mention is not None:
        mention = scene.record.mentions[run.mention]
        names += ["m", f"c-{scene.groups.get(mention.kind, 'other')}"]
        names += [f"s-{mention.status}"] if mention.status != "affirmed" and run.closes else []
        places += f' data-m="{run.mention}"'
    if run.size is not None:
        names.append("z")
        places += f' data-z="{run.size}"'
    if run.unclear:
        names.append("x")
    text = escape(run.text)
    return f'<span class="{" ".join(names)}"{places}>{text}</span>' if names else text
