"""A record made by hand: one fact of every kind, in both languages. Invented."""

from __future__ import annotations

from build import say
from otochron.model import (
    Bilingual,
    Case,
    CaseSide,
    Check,
    Clause,
    Finding,
    Implant,
    Item,
    LanguageSpan,
    Measurement,
    Missing,
    Plan,
    Record,
    Recording,
    Saying,
    Seen,
    Span,
    Step,
    Tissue,
    When,
)

LINES = (
    ("en", "stapedotomy on the right for otosclerosis transcanal general anaesthesia lidocaine one percent"),
    ("fr", "l'étrier est bloqué peut-être un foyer pas d'épanchement la corde est intacte"),
    ("en", "careful never pull the chorda"),
    ("fr", "je mesure quatre et quart plus un quart je coupe à quatre cinq soixante-quinze d'abord"),
    ("en", "piston in four and a half vein graft only if it leaks we crimp"),
    ("fr", "la mèche dans le conduit on l'enlève à J7 et on crimpe parce que la boucle est ouverte"),
)


def _say() -> Record:
    said = say(None, *(text for _, text in LINES))
    lines = tuple(
        line.evolve(languages=(LanguageSpan(start=0, end=len(line.text), language=lang),))  # type: ignore[arg-type]
        for line, (lang, _) in zip(said.lines, LINES, strict=True)
    )
    clauses = tuple(
        Clause(id=f"clause-{line.id}-0", span=_of(line.id, line.text, line.text, line.start_ms), language="en")
        for line in lines
    )
    return said.evolve(lines=lines, clauses=clauses)


def _of(name: str, text: str, words: str, start_ms: int) -> Span:
    start = text.index(words)
    before = len(text[:start].split())
    return Span(
        line=name,
        start=start,
        to_line=name,
        end=start + len(words),
        start_ms=start_ms + 400 * before,
        end_ms=start_ms + 400 * (before + len(words.split())),
    )


SAID = _say()


def at(n: int, words: str) -> tuple[Span, ...]:
    """The span of some words of line ``n``."""
    line = SAID.lines[n - 1]
    return (_of(line.id, line.text, words, line.start_ms),)


def _size(n: int, words: str, value: float, role: str, of: str = "stapes-piston", **more: object) -> Measurement:
    place = at(n, words)[0]
    return Measurement.model_validate(
        {
            **place.model_dump(),
            "id": f"measurement-{place.line}-{place.start}",
            "surface": words,
            "quantity": "size",
            "value": value,
            "unit": "mm",
            "of": of,
            "dimension": "length",
            "role": role,
            "plausible": True,
            **more,
        }
    )


SIZES = (
    _size(4, "quatre et quart", 4.25, "measured"),
    _size(4, "un quart", 0.25, "added"),
    _size(4, "quatre cinq soixante-quinze", 4.75, "intermediate"),
    _size(5, "four and a half", 4.5, "final", sum_of=("measurement-line-4-10", "measurement-line-4-31")),
)


def _step(n: int, words: str, step: str, phase: str, **more: object) -> Step:
    place = at(n, words)[0]
    return Step.model_validate(
        {
            "id": f"step-{place.line}-{place.start}",
            "step": step,
            "phase": phase,
            "procedure": "stapedotomy",
            "start_ms": place.start_ms,
            "end_ms": place.end_ms,
            "status": "done",
            "completion": "said",
            "evidence": at(n, words),
            "score": 0.9,
            **more,
        }
    )


def finding(structure: str, name: str, status: str, n: int, words: str) -> Finding:
    """A finding with one state."""
    spans = at(n, words)
    history = (Seen.model_validate({"status": status, "evidence": spans}),)
    return Finding.model_validate(
        {
            "concept": structure,
            "structure": structure,
            "finding": name,
            "status": status,
            "history": history,
            "evidence": spans,
        }
    )


def item(concept: str, n: int, words: str, **more: object) -> Item:
    """A fact."""
    return Item.model_validate({"concept": concept, "evidence": at(n, words), **more})


MADE: Record = SAID.evolve(
    recording=Recording(
        name="made.vtt", sha256="0" * 64, reader="webvtt", duration_ms=SAID.lines[-1].end_ms, time_basis="cue"
    ),
    measurements=SIZES,
    steps=(
        _step(
            4,
            "je mesure",
            "measure-incus-to-footplate",
            "footplate-phase",
            measurements=(SIZES[0].id,),
            instruments=("measuring-rod",),
        ),
        _step(5, "piston in", "insert-piston", "implantation-phase", completion="unsaid"),
        _step(5, "vein graft", "cover-fenestra", "implantation-phase", status="planned", completion="unsaid"),
        _step(5, "we crimp", "crimp-piston", "implantation-phase"),
        _step(6, "on crimpe", "crimp-piston", "implantation-phase", revisit_of="step-line-5-54"),
    ),
    case=Case(
        side=CaseSide(value="right", evidence=at(1, "right")),
        procedures=(item("stapedotomy", 1, "stapedotomy"),),
        approaches=(item("transcanal-approach", 1, "transcanal"),),
        diagnoses=(item("otosclerosis", 1, "otosclerosis"),),
        anaesthesia=(item("general-anaesthesia", 1, "general anaesthesia"),),
        drugs=(item("lidocaine", 1, "lidocaine", attributes={"concentration": "1 %"}),),
        findings=(
            finding("stapes", "fixed", "present", 2, "bloqué"),
            finding("stapes-footplate", "otosclerotic-focus", "uncertain", 2, "peut-être un foyer"),
            finding("tympanic-cavity", "effusion", "absent", 2, "pas d'épanchement"),
            finding("chorda-tympani", "intact", "present", 2, "intacte"),
        ),
        implants=(
            Implant(
                concept="stapes-piston",
                evidence=at(5, "piston"),
                materials={"shaft": "fluoroplastic"},
                length=SIZES[3].id,
            ),
        ),
        grafts=(item("vein-graft", 5, "vein graft", status="hypothetical"),),
        tissue=Tissue(removed=(item("stapes-superstructure", 5, "in"),)),
        complications=(item("gusher", 5, "leaks", status="negated"),),
        packing=(item("ear-wick", 6, "la mèche", attributes={"place": "ear-canal"}),),
        reasons=(
            Saying(
                concept="piston-loop",
                text="parce que la boucle est ouverte",
                start_ms=at(6, "parce que")[0].start_ms,
                language="fr",
                evidence=at(6, "parce que la boucle est ouverte"),
            ),
        ),
        cautions=(
            Saying(
                concept="chorda-tympani",
                text="never pull the chorda",
                start_ms=at(3, "never")[0].start_ms,
                language="en",
                about=("chorda-tympani",),
                evidence=at(3, "never pull the chorda"),
            ),
        ),
        plan=(
            Plan(
                concept="ear-wick",
                what="ear-wick",
                status="planned",
                attributes={"act": "removal"},
                when=When(after="P7D"),
                evidence=at(6, "on l'enlève à J7"),
            ),
        ),
    ),
    checks=(
        Check(
            code="size-ambiguous",
            level="stop",
            message=Bilingual(en="A size can be read in two ways.", fr="Une taille se lit de deux façons."),
            evidence=at(4, "quatre cinq soixante-quinze"),
        ),
    ),
    missing=(
        Missing(
            item="blood-loss",
            message=Bilingual(en="Estimated blood loss (if any).", fr="Pertes sanguines estimées (s’il y a lieu)."),
            source="test",
        ),
    ),
)
