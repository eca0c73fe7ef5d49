"""The lists beside the speech: what to check, the note, the words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from html import escape

from otochron.model import Bilingual, Check, Span
from otochron.writers.lacking import lacking
from otochron.writers.note.document import Document, Line, Section
from otochron.writers.page.scene import Scene
from otochron.writers.page.words import LANGUAGES, Pair, both
from otochron.writers.wording import clock

_LEVELS = ("stop", "look", "info")
_TIME = r"(?:\d+:)?\d?\d:\d\d"
_TIMES = re.compile(rf"(?<=[( ]){_TIME}(?=(?:, (?:{_TIME}|…))*\))")
"""Times at the end of a bracket: of one sentence of a note."""
_BRACKET = re.compile(rf"\((?:{_TIME}|…)(?:, (?:{_TIME}|…))*\)")
_OF_WORDS = "repair-"
"""How the codes of checks of single words begin."""
_SURE = 0.9
"""A repair at least this sure stands below those that are not."""


def go(ms: int, shown: str = "", *, to: int | None = None) -> str:
    """Write a time that moves there; ``to`` is the repair that it leads to."""
    place = "" if to is None else f' data-to="{to}"'
    return f'<button type="button" class="go" data-t="{ms}"{place}>{shown or clock(ms)}</button>'


def _times(spans: Sequence[Span], most: int = 4) -> str:
    starts = sorted({span.start_ms // 1000 * 1000: span.start_ms for span in spans}.values())
    return " ".join(go(ms) for ms in starts[:most]) + (" …" if len(starts) > most else "")


def checks(scene: Scene) -> str:
    """Write the checks by level, the repairs, the unclear passages, and what nobody said."""
    found: list[str] = []
    for level in _LEVELS:
        some = [check for check in scene.record.checks if check.level == level]
        # What contradicts comes before what may be misheard: the second are many.
        some.sort(key=lambda check: check.code.startswith(_OF_WORDS))
        if level == "stop" or some:
            found.append(_level(scene, level, some))
    found += _repairs(scene)
    found += _unclear(scene)
    found += _missing(scene)
    return "".join(found)


def _level(scene: Scene, level: str, some: Sequence[Check]) -> str:
    items = "".join(
        f'<li class="chk {level}"><label><input type="checkbox" class="seen" data-k="{escape(key, quote=True)}">'
        f"<span>{_message(check.message)}</span></label> {_places(scene, check)}</li>"
        for key, check in zip(_keys(some), some, strict=True)
    )
    title = f'{scene.words.both(f"level-{level}")} <span class="count">{len(some)}</span>'
    body = f"<ul>{items}</ul>" if items else f'<p class="none">{scene.words.both("no-stops")}</p>'
    if level == "info":
        return f"<details><summary>{title}</summary>{body}</details>"
    return f'<h3 class="lv {level}">{title}</h3>{body}'


def _places(scene: Scene, check: Check) -> str:
    """Write where a check looks; that of a word leads to the word."""
    if len(check.evidence) == 1:
        span = check.evidence[0]
        n = scene.repairs_at.get((span.line, span.start))
        if n is not None:
            return go(span.start_ms, to=n)
    return _times(check.evidence)


def _keys(some: Sequence[Check]) -> Iterable[str]:
    """Name each check by its code and place, so that a tick stays with it when the page is made anew."""
    used: Counter[str] = Counter()
    for check in some:
        place = f"{check.evidence[0].line}-{check.evidence[0].start}" if check.evidence else "all"
        key = f"{check.code}-{place}"
        used[key] += 1
        yield f"{key}-{used[key]}"


def _message(message: Bilingual) -> str:
    return both((message.en, message.fr))


def _repairs(scene: Scene) -> Iterable[str]:
    record = scene.record
    at = {line.id: line for line in record.lines}
    rows: list[tuple[bool, int, str]] = []
    for n, repair in enumerate(record.repairs):
        if repair.decision != "applied" or not repair.text:
            continue
        line = at[repair.line]
        ms = line.start_ms + (line.end_ms - line.start_ms) * repair.heard_start // max(1, len(line.heard))
        percent = round(100 * repair.score)
        row = (
            f'<li><span class="rp"><del lang="{repair.language}">{escape(repair.heard)}</del> → '
            f'<ins lang="{repair.language}">{escape(repair.text)}</ins></span> '
            f'<span class="sc">{percent}&nbsp;%</span> '
            f"{go(ms, to=n)}</li>"
        )
        rows.append((repair.score >= _SURE, ms, row))
    if not rows:
        return
    rows.sort(key=lambda row: row[:2])
    yield f'<h3>{scene.words.both("repairs")} <span class="count">{len(rows)}</span></h3>'
    yield f'<p class="hint">{scene.words.both("repairs-hint")}</p>'
    for sure, name in ((False, "repairs-doubtful"), (True, "repairs-sure")):
        some = [row for s, _, row in rows if s is sure]
        if some:
            opened = "" if sure else " open"
            yield f'<details{opened}><summary>{scene.words.both(name)} <span class="count">{len(some)}</span></summary>'
            yield f'<ul class="reps">{"".join(some)}</ul></details>'


def _unclear(scene: Scene) -> Iterable[str]:
    if scene.record.unclear:
        yield f'<h3>{scene.words.both("unclear")} <span class="count">{len(scene.record.unclear)}</span></h3><p>'
        yield " ".join(go(u.span.start_ms) for u in scene.record.unclear) + "</p>"


def _missing(scene: Scene) -> Iterable[str]:
    if scene.record.missing:
        count = len(scene.record.missing)
        yield f'<h3>{scene.words.both("missing")} <span class="count">{count}</span></h3>'
        yield f'<p class="hint">{scene.words.both("missing-hint")}</p><ul class="plain">'
        yield "".join(f"<li>{_message(m.message)}</li>" for m in scene.record.missing) + "</ul>"


def teaching(scene: Scene) -> str:
    """Write what a teaching video should have and the recording lacks."""
    stages = sum(step.status == "done" for step in scene.record.steps)
    en, fr = (lacking(scene.record, scene.lexicon, lang, stages=stages) for lang in LANGUAGES)
    if not en:
        return ""
    items = "".join(f"<li>{both(pair)}</li>" for pair in zip(en, fr, strict=True))
    return (
        f'<details class="lack"><summary>{scene.words.both("lacks")}</summary><ul class="plain">{items}</ul></details>'
    )


def note(scene: Scene) -> str:
    """Write the note in both languages; each time moves there. What must be checked stands in its own list."""
    return "".join(_note(document) for document in scene.notes)


def _note(document: Document) -> str:
    sections = "".join(_section(s) for s in document.sections if s.key not in ("to-check", "to-complete"))
    # The day stands first; recording and languages already stand at the head of the page.
    day = "".join(f'<p class="hint">{escape(fact)}</p>' for fact in document.facts[:1])
    return f'<div class="ui doc" lang="{document.lang}">{day}{sections}</div>'


def _section(section: Section) -> str:
    remark = f'<p class="hint">{escape(section.remark)}</p>' if section.remark else ""
    tag = "ol" if section.form == "numbered" else "ul"
    lines = "".join(f"<li>{_line(line)}</li>" for line in section.lines)
    return f"<h3>{escape(section.title)}</h3>{remark}" + (f"<{tag}>{lines}</{tag}>" if lines else "")


def _line(line: Line) -> str:
    lead = f"<strong>{escape(line.lead)}</strong> " if line.lead else ""
    return lead + "".join(
        f'<q lang="{run.quote}">{escape(run.text)}</q>' if run.quote else _with_times(escape(run.text))
        for run in line.runs()
    )


def _with_times(text: str) -> str:
    """Make the times of a sentence lead to their place; a bracket of times alone stays on one line."""
    text = _BRACKET.sub(lambda match: f'<span class="nb">{match[0]}</span>', text)
    return _TIMES.sub(lambda match: go(_ms(match[0]), match[0]), text)


def _ms(time: str) -> int:
    total = 0
    for part in time.split(":"):
        total = total * 60 + int(part)
    return total * 1000


def kinds(scene: Scene) -> str:
    """Write the filters: kinds and states of mentions, kinds of speech, and every concept with its count."""
    record = scene.record
    by_kind: dict[str, Counter[str | None]] = {}
    for mention in record.mentions:
        by_kind.setdefault(mention.kind, Counter())[mention.concept] += 1
    ordered = [kind for kind in scene.words.starting("kind-") if kind in by_kind]
    ordered += sorted(set(by_kind) - set(ordered))
    found = [f'<fieldset class="kinds"><legend>{scene.words.both("kinds")}</legend>']
    found += [_kind(scene, kind, by_kind[kind]) for kind in ordered]
    found.append("</fieldset>")
    statuses: Counter[str] = Counter(m.status for m in record.mentions)
    found.append(_boxes(scene, "states", "status", statuses))
    found.append(_boxes(scene, "speech", "register", Counter(c.register_ for c in record.clauses)))
    return "".join(found)


def _kind(scene: Scene, kind: str, concepts: Counter[str | None]) -> str:
    name = scene.words.both(f"kind-{kind}") if f"kind-{kind}" in scene.words else escape(kind)
    group = scene.groups.get(kind, "other")
    rows = "".join(_concept(scene, concept, n) for concept, n in _ranked(scene, concepts))
    inner = f'<details><summary {_shown(scene, kind)}></summary><ul class="cons">{rows}</ul></details>' if rows else ""
    return (
        f'<div class="kind"><label><input type="checkbox" class="fk" value="{escape(kind, quote=True)}"> '
        f'<span class="m c-{group}">{name}</span> <span class="count">{concepts.total()}</span></label>{inner}</div>'
    )


def _shown(scene: Scene, kind: str) -> str:
    name: Pair = scene.words.pair(f"kind-{kind}") if f"kind-{kind}" in scene.words else (kind, kind)
    return scene.words.label("concepts-of", what=name)


def _ranked(scene: Scene, concepts: Counter[str | None]) -> list[tuple[str, int]]:
    named = [(c, n) for c, n in concepts.items() if c is not None]
    return sorted(named, key=lambda pair: (-pair[1], scene.name(pair[0])))


def _concept(scene: Scene, concept: str, count: int) -> str:
    name = escape(concept, quote=True)
    return (
        f'<li><button type="button" class="con" data-c="{name}">{both(scene.name(concept))} '
        f'<span class="count">{count}</span></button></li>'
    )


def _boxes(scene: Scene, title: str, prefix: str, counts: Counter[str]) -> str:
    rows = "".join(
        f'<label><input type="checkbox" class="f-{prefix}" value="{name}"> {both(pair)} '
        f'<span class="count">{counts[name]}</span></label>'
        for name, pair in scene.words.starting(f"{prefix}-").items()
        if counts[name]
    )
    return f'<fieldset class="boxes"><legend>{scene.words.both(title)}</legend>{rows}</fieldset>' if rows else ""
