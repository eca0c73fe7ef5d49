"""The course of the operation as a drawing: time runs down; steps by phase, languages, cautions, sizes, checks.

The drawing is an SVG without a view box, so that its places are shares of its height and its shapes keep their
form. It is hidden from readers of the screen: the list of steps beside it and the lists of checks and cautions say
the same in words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from otochron.model import Saying
from otochron.writers.page.scene import Scene
from otochron.writers.page.units import done_steps
from otochron.writers.page.words import both
from otochron.writers.wording import clock

_LANGUAGE_X, _PHASE_X, _STEP_X = (34, 7), (43, 5), (49, 16)
"""Left edge and width of the bars."""
_MARKS_X = {"caution": 74, "size": 87, "check": 100}
_TICKS_S = (10, 30, 60, 120, 300, 600, 900, 1800, 3600)
_MOST_TICKS = 12
_TEXT_MARKS = {
    "applied": "r r-applied",
    "suggested": "r r-suggested",
    "term": "m c-body",
    "number": "z",
    "unclear": "x",
}
_JOIN_MS = 400
_HOUR_MS = 3_600_000
_DENSE = 120
"""So many steps leave no room for lines between them."""
_SHAPES = {
    "caution": "M0-5 5 4-5 4Z",
    "size": "M0-4.5 4.5 0 0 4.5-4.5 0Z",
    "stop": "M-5-2-2-5 2-5 5-2 5 2 2 5-2 5-5 2Z",
    "look": "M0-4.5A4.5 4.5 0 1 1 0 4.5 4.5 4.5 0 1 1 0-4.5Z",
    "given-up": "M-4-4 4 4M4-4-4 4",
}


def drawing(scene: Scene) -> str:
    """Write the drawing."""
    layers = (
        ("ticks", _ticks(scene)),
        ("languages", _languages(scene)),
        ("steps", _steps(scene)),
        ("cautions", _cautions(scene)),
        ("sizes", _sizes(scene)),
        ("checks", _checks(scene)),
        ("hits", ()),
        ("view", ()),
    )
    groups = "".join(f'<g class="d-{name}">{"".join(shapes)}</g>' for name, shapes in layers)
    hatch = (
        '<defs><pattern id="hatch" width="4" height="4" patternUnits="userSpaceOnUse">'
        '<path d="M-1 1 1-1M0 4 4 0M3 5 5 3"/></pattern></defs>'
    )
    now = '<line class="d-now" x1="30" x2="100%" y1="0" y2="0"/>'
    size = 'width="100%" height="100%" aria-hidden="true" focusable="false"'
    dense = ' class="dense"' if len(scene.record.steps) > _DENSE else ""
    return f'<svg id="drawing-svg"{dense} {size}>{hatch}{groups}{now}</svg>'


def _at(scene: Scene, ms: int) -> str:
    return f"{100 * ms / scene.length_ms:.3f}".rstrip("0").rstrip(".") + "%"


def _bar(scene: Scene, x: tuple[int, int], times: tuple[int, int], name: str, more: str = "") -> str:
    start, end = times
    return (
        f'<rect class="{name}" x="{x[0]}" width="{x[1]}" y="{_at(scene, start)}" '
        f'height="{_at(scene, max(0, end - start))}"{more}/>'
    )


def _ticks(scene: Scene) -> Iterable[str]:
    seconds = scene.length_ms / 1000
    gap = next((s for s in _TICKS_S if seconds / s <= _MOST_TICKS), _TICKS_S[-1])
    for n in range(int(seconds // gap) + 1):
        ms = n * gap * 1000
        if ms and scene.length_ms - ms < gap * 200:
            continue
        y = _at(scene, ms)
        shift = ' dy="9"' if not n else ' dy="4"'
        yield f'<line x1="28" x2="100%" y1="{y}" y2="{y}"/><text x="26" y="{y}"{shift}>{_tick(scene, ms)}</text>'


def _tick(scene: Scene, ms: int) -> str:
    """Write a time beside its tick; there is no room for seconds once hours are told."""
    minutes = ms // 60_000
    return clock(ms) if scene.length_ms < _HOUR_MS else f"{minutes // 60}h{minutes % 60:02d}"


def _languages(scene: Scene) -> Iterable[str]:
    """Draw runs of one language; neighbours of the same language are one bar."""
    run: list[tuple[int, int, str]] = []
    for part in scene.parts:
        for paragraph in part.paragraphs:
            for unit in paragraph.units:
                total = sum(len(r.text) for r in unit.runs) or 1
                at = 0
                for piece in unit.runs:
                    length = unit.end_ms - unit.start_ms
                    start = unit.start_ms + length * at // total
                    at += len(piece.text)
                    end = unit.start_ms + length * at // total
                    if run and run[-1][2] == piece.language and start - run[-1][1] <= _JOIN_MS:
                        run[-1] = (run[-1][0], end, piece.language)
                    else:
                        run.append((start, end, piece.language))
    for start, end, language in run:
        yield _bar(scene, _LANGUAGE_X, (start, end), f"l-{language}")


def _steps(scene: Scene) -> Iterable[str]:
    for n, step in done_steps(scene.record):
        shade = scene.shade(step.phase)
        yield _bar(scene, _PHASE_X, (step.start_ms, step.end_ms), f"phase {shade}")
        yield _bar(scene, _STEP_X, (step.start_ms, step.end_ms), f"step {shade}", f' data-s="{n}"')
    for step in scene.record.steps:
        if step.status != "done":
            shape = "given-up" if step.status == "abandoned" else "size"
            yield _mark(scene, _STEP_X[0] + _STEP_X[1] // 2, step.start_ms, shape, f"not-done {step.status}")


def _cautions(scene: Scene) -> Iterable[str]:
    for ms in _starts(scene.record.case.cautions):
        yield _mark(scene, _MARKS_X["caution"], ms, "caution", "caution")


def _sizes(scene: Scene) -> Iterable[str]:
    for size in scene.record.measurements:
        if size.echo_of is None and size.status not in ("retracted", "general", "past"):
            name = "size final" if size.role == "final" else "size"
            yield _mark(scene, _MARKS_X["size"], size.start_ms, "size", name)


def _checks(scene: Scene) -> Iterable[str]:
    for level in ("look", "stop"):
        for check in scene.record.checks:
            if check.level == level and check.evidence:
                yield _mark(scene, _MARKS_X["check"], check.evidence[0].start_ms, level, f"check {level}")


def _starts(sayings: Sequence[Saying]) -> list[int]:
    return [s.evidence[0].start_ms if s.evidence else s.start_ms for s in sayings if s.echo_of is None]


def _mark(scene: Scene, x: int, ms: int, shape: str, name: str) -> str:
    return f'<svg x="{x}" y="{_at(scene, ms)}" overflow="visible" class="{name}"><path d="{_SHAPES[shape]}"/></svg>'


def step_list(scene: Scene) -> str:
    """Write the list of steps, by phase, in time order; what was only planned or given up says so."""
    items: list[str] = []
    phase = None
    for n, step in sorted(enumerate(scene.record.steps), key=lambda p: (p[1].start_ms, p[0])):
        if step.status == "done" and step.phase != phase:
            phase = step.phase
            items.append(f'<li class="phase" data-t="{step.start_ms}">{both(scene.phase(phase))}</li>')
        shade = scene.shade(step.phase)
        word = f"step-{step.status}" if step.status != "done" else step.completion
        tag = f' <span class="tag {word}">{scene.words.both(word)}</span>' if word in scene.words else ""
        items.append(
            f'<li><button type="button" class="stp {step.status} {shade}" data-t="{step.start_ms}" '
            f'data-e="{step.end_ms}" data-s="{n}"><span class="n">{both(scene.title(step))}</span>{tag} '
            f"<time>{clock(step.start_ms)}</time></button></li>"
        )
    if not items:
        return f'<p class="none">{scene.words.both("no-steps")}</p>'
    return f'<ol id="step-list">{"".join(items)}</ol>'


def legend(scene: Scene) -> str:
    """Write what the drawing and the marks in the transcript show."""
    rows = [(scene.shade(phase), both(scene.phase(phase))) for phase in scene.phases]
    swatches = "".join(f'<li><i class="sw {shade}"></i>{name}</li>' for shade, name in rows)
    for name in ("l-en", "l-fr"):
        swatches += f'<li><svg class="key" aria-hidden="true"><rect class="{name}" width="14" height="14"/></svg>'
        swatches += scene.words.both(f"legend-{name}") + "</li>"
    for name, shape in (("caution", "caution"), ("size", "size"), ("size final", "size"), ("check stop", "stop")):
        swatches += _legend_mark(scene, name, shape)
    swatches += _legend_mark(scene, "check look", "look") + _legend_mark(scene, "not-done planned", "size")
    swatches += _legend_mark(scene, "not-done abandoned", "given-up")
    marks = "".join(
        f'<li><span class="{kind}">{scene.words.both("legend-sample")}</span> {scene.words.both(f"legend-{name}")}</li>'
        for name, kind in _TEXT_MARKS.items()
    )
    return f"<ul>{swatches}</ul><ul>{marks}</ul>"


def _legend_mark(scene: Scene, name: str, shape: str) -> str:
    word = "legend-" + name.replace(" ", "-")
    return (
        f'<li><svg class="key" aria-hidden="true"><svg x="7" y="7" overflow="visible" class="{name}">'
        f'<path d="{_SHAPES[shape]}"/></svg></svg>{scene.words.both(word)}</li>'
    )
