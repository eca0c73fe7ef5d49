"""What every part of the page needs: the record, names in both languages, the speech cut for reading."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from otochron.lexicon import Lexicon
from otochron.lexicon.rules import rules
from otochron.model import Measurement, Record, Step
from otochron.writers.note.build import build_note
from otochron.writers.note.document import Document
from otochron.writers.note.teller import Teller, upper
from otochron.writers.page.units import Part, parts
from otochron.writers.page.words import LANGUAGES, Pair, Words
from otochron.writers.wording import is_draft, size

SHADES = 10
"""How many colours of phases the style holds."""


@dataclass(frozen=True)
class Scene:
    """One record, ready to be drawn."""

    record: Record
    lexicon: Lexicon
    words: Words
    tellers: tuple[Teller, Teller]
    draft: bool

    @classmethod
    def of(cls, record: Record, lexicon: Lexicon) -> Scene:
        """Make the scene of a record."""
        en, fr = (Teller(record, lexicon, lang) for lang in LANGUAGES)
        return cls(record, lexicon, Words(lexicon), (en, fr), is_draft(record))

    @cached_property
    def length_ms(self) -> int:
        """How long the drawing is; never 0."""
        last = max((line.end_ms for line in self.record.lines), default=0)
        return max(1, self.record.recording.duration_ms, last, *(step.end_ms for step in self.record.steps))

    @cached_property
    def parts(self) -> list[Part]:
        """The speech in reading order."""
        return parts(self.record)

    @cached_property
    def notes(self) -> tuple[Document, Document]:
        """The note in both languages."""
        en, fr = (build_note(self.record, self.lexicon, lang) for lang in LANGUAGES)
        return en, fr

    @cached_property
    def repairs_at(self) -> dict[tuple[str, int], int]:
        """The repair that starts at a place of a line."""
        return {(repair.line, repair.text_start): n for n, repair in enumerate(self.record.repairs)}

    @cached_property
    def groups(self) -> dict[str, str]:
        """The group of each kind of mention, for its colour."""
        return {
            kind: entry.id.removeprefix("page-group-")
            for entry in rules(self.lexicon, "page-group")
            for kind in _kinds(entry.values.get("kinds"))
        }

    @cached_property
    def phases(self) -> tuple[str, ...]:
        """The phases in the order in which they come up."""
        ordered = sorted(self.record.steps, key=lambda s: (s.status != "done", s.start_ms))
        return tuple(dict.fromkeys(step.phase for step in ordered))

    @cached_property
    def heading(self) -> Pair:
        """What was operated on, and the ear; failing that, the name of the recording."""
        case = self.record.case
        done = dict.fromkeys(i.concept for i in case.procedures if i.status == "affirmed" and i.echo_of is None)
        found: list[str] = []
        for teller in self.tellers:
            ear = [teller.say(f"ear-{case.side.value}")] if case.side.value else []
            names = [teller.grammar.listed([teller.name(concept) for concept in done])] if done else []
            found.append(upper(", ".join([*names, *ear])) or self.record.recording.name)
        return found[0], found[1]

    def shade(self, phase: str) -> str:
        """Give the class of a phase's colour; the colours come round again after ten."""
        return f"ph{self.phases.index(phase) % SHADES}"

    def name(self, concept: str | None) -> Pair:
        """Name a concept."""
        en, fr = (teller.name(concept) for teller in self.tellers)
        return en, fr

    def title(self, step: Step) -> Pair:
        """Give the title of a step; one that is taken up again says so."""
        en, fr = (upper(teller.title(step.step)) for teller in self.tellers)
        if step.side:
            ears = [teller.ear(step.side) for teller in self.tellers]
            en, fr = en + ears[0], fr + ears[1]
        return self.words.pair("step-again", what=(en, fr)) if step.revisit_of else (en, fr)

    def phase(self, phase: str) -> Pair:
        """Give the title of a phase."""
        en, fr = (upper(teller.title(phase)) for teller in self.tellers)
        return en, fr

    def size(self, measurement: Measurement) -> Pair:
        """Give a size as each language writes it."""
        en, fr = (size(measurement, lang) for lang in LANGUAGES)
        return en, fr


def _kinds(value: object) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else value if isinstance(value, tuple) else ()
