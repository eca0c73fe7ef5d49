"""What the script needs and the text does not show: names of concepts, details of mentions, repairs and sizes.

Lists, not objects, and indices, not names: a recording of four hours stays light. The script is told the order
here and in ``base.js``, which names the places.
"""

from __future__ import annotations

import json
from typing import Any

from otochron.model import Lang
from otochron.text.normal import fold
from otochron.writers.page.scene import Scene
from otochron.writers.page.words import LANGUAGES


def data(scene: Scene) -> str:
    """Give the data block as JSON that may stand inside a script element."""
    record = scene.record
    concepts = _concepts(scene)
    index = {concept: n for n, concept in enumerate(concepts)}
    repair_of = {repair.id: n for n, repair in enumerate(record.repairs)}
    block = {
        "key": record.recording.sha256[:16],
        "length": scene.length_ms,
        "estimated": record.recording.time_basis != "word",
        "words": scene.words.starting("script-"),
        "kinds": scene.words.starting("kind-"),
        "statuses": scene.words.starting("status-"),
        "concepts": [_concept(scene, concept) for concept in concepts],
        "mentions": [
            [
                index.get(m.concept or "", -1),
                m.kind,
                m.status,
                m.start_ms,
                repair_of.get(m.repair or "", -1),
                index.get(m.refers_to or "", -1),
                1 if m.echo_of else 0,
                m.language,
            ]
            for m in record.mentions
        ],
        "repairs": [
            [r.heard, r.text, r.decision, round(r.score, 2), index.get(r.concept or "", -1), r.alternatives]
            for r in record.repairs
        ],
        "sizes": [
            [
                scene.size(z),
                index.get(z.of or "", -1),
                scene.words.pair(f"role-{z.role}") if z.role else None,
                z.status,
                z.approximate,
                z.plausible is False,
                1 if z.echo_of else 0,
            ]
            for z in record.measurements
        ],
        "steps": [[s.start_ms, s.end_ms, scene.title(s), s.status, index.get(s.step, -1)] for s in record.steps],
    }
    return safe_json(block)


def safe_json(value: Any) -> str:
    r"""Write JSON in which no markup can start and no line can end.

    >>> safe_json("</script><!--")
    '"\\u003c/script\\u003e\\u003c!--"'
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _concepts(scene: Scene) -> list[str]:
    record = scene.record
    named = {m.concept for m in record.mentions} | {m.refers_to for m in record.mentions}
    named |= {r.concept for r in record.repairs} | {z.of for z in record.measurements}
    named |= {s.step for s in record.steps}
    return sorted(concept for concept in named if concept and concept in scene.lexicon)


def _concept(scene: Scene, concept: str) -> list[Any]:
    """Give id, kind, names, and all forms under which a search finds the concept, folded."""
    entry = scene.lexicon[concept]
    names = scene.name(concept)
    forms: dict[str, None] = {}
    for lang in LANGUAGES:
        for form in (*_forms(scene, concept, lang), *entry.latin_forms()):
            forms.setdefault(fold(form).replace("-", " "))
    return [concept, entry.kind, *names, "|".join(forms)]


def _forms(scene: Scene, concept: str, lang: Lang) -> tuple[str, ...]:
    tongue = scene.lexicon[concept].tongue(lang)
    return tuple(form for form in (tongue.label, tongue.title, *tongue.forms) if form)
