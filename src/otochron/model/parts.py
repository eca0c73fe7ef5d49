"""What a record holds besides the case: lines, clauses, repairs, mentions, measurements, steps, checks."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from otochron.model.base import Frozen, Lang, Ms, Register, Span, Status

Quantity = Literal["size", "distance", "angle", "time", "level", "ratio", "clock", "count", "other"]
Role = Literal["measured", "added", "target", "intermediate", "final"]


class Bilingual(Frozen):
    """One message in both languages."""

    en: str
    fr: str


class LanguageSpan(Frozen):
    """A run of one language inside a line: half-open code points of ``text``."""

    start: int = Field(ge=0)
    end: int = Field(ge=0)
    language: Lang


class WordTime(Frozen):
    """One word of the recogniser, where the input carried its time. Offsets count in ``heard``."""

    start: int = Field(ge=0)
    end: int = Field(ge=0)
    start_ms: Ms
    end_ms: Ms
    p: float | None = Field(default=None, ge=0, le=1)


class Line(Frozen):
    """One timed piece of the transcript as it came."""

    id: str
    start_ms: Ms
    end_ms: Ms
    voice: str | None = None
    heard: str
    text: str
    languages: tuple[LanguageSpan, ...] = ()
    words: tuple[WordTime, ...] = ()
    given: tuple[LanguageSpan, ...] = ()

    def model_post_init(self, _context: object, /) -> None:
        """Refuse a line that runs backwards."""
        super().model_post_init(_context)
        if self.end_ms < self.start_ms:
            raise ValueError(f"{self.id} ends ({self.end_ms} ms) before it starts ({self.start_ms} ms)")


class Clause(Frozen):
    """A stretch of speech with one statement."""

    id: str
    span: Span
    language: Lang
    # The contract's key is "register", which is a method of every pydantic model.
    register_: Register = Field(default="narration", alias="register")


class Reason(Frozen):
    """One term of the log-odds of a repair."""

    name: str
    value: float


class Repair(Frozen):
    """A misheard trade word put right, suggested, or left as heard.

    A repair whose heard words run over two lines is two repairs: the first holds the whole new text, the
    second has an empty ``text`` and ``continues`` names the first, so that ``text`` goes back to ``heard``
    line by line.
    """

    id: str
    line: str
    heard_start: int = Field(ge=0)
    heard_end: int = Field(ge=0)
    heard: str
    text_start: int = Field(ge=0)
    text_end: int = Field(ge=0)
    text: str
    concept: str | None
    language: Lang
    score: float = Field(ge=0, le=1)
    decision: Literal["applied", "suggested", "kept"]
    reasons: tuple[Reason, ...] = ()
    continues: str | None = None
    alternatives: tuple[str, ...] = ()


class Unclear(Frozen):
    """A garbled stretch that gives no fact."""

    span: Span
    reason: str


class Mention(Span):
    """One place where a concept is spoken or referred to."""

    id: str
    surface: str
    concept: str | None
    kind: str
    language: Lang
    status: Status = "affirmed"
    repair: str | None = None
    refers_to: str | None = None
    echo_of: str | None = None


class Measurement(Span):
    """Number, unit, what it measures, and the part it plays."""

    id: str
    surface: str
    quantity: Quantity
    value: float | None
    low: float | None = None
    high: float | None = None
    unit: str
    of: str | None = None
    dimension: str | None = None
    from_: str | None = Field(default=None, alias="from")
    to: str | None = None
    role: Role | None = None
    readings: tuple[float, ...] = ()
    status: Status = "affirmed"
    approximate: bool = False
    corrects: str | None = None
    sum_of: tuple[str, ...] | None = None
    echo_of: str | None = None
    plausible: bool | None = None


class Step(Frozen):
    """One act of the operation as told."""

    id: str
    step: str
    phase: str
    procedure: str
    start_ms: Ms
    end_ms: Ms
    status: Literal["done", "planned", "abandoned"]
    completion: Literal["said", "implied", "unsaid"]
    evidence: tuple[Span, ...] = ()
    echoes: tuple[Span, ...] = ()
    structures: tuple[str, ...] = ()
    instruments: tuple[str, ...] = ()
    measurements: tuple[str, ...] = ()
    revisit_of: str | None = None
    score: float = Field(default=0.0, ge=0, le=1)
    side: Literal["left", "right", "both"] | None = None


class Correction(Frozen):
    """The surgeon's word: ``now`` outranks extraction, ``was`` stays."""

    target: str
    was: str | None
    now: str | None
    by: str


class Check(Frozen):
    """Something the surgeon must look at."""

    code: str
    level: Literal["stop", "look", "info"]
    message: Bilingual
    evidence: tuple[Span, ...] = ()


class Missing(Frozen):
    """What an operative note must hold and nobody said."""

    item: str
    message: Bilingual
    source: str
