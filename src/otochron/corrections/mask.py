"""Hide spoken personal data everywhere in a record. Which words: ``otochron.lexicon.personal`` and its cue lists."""

from __future__ import annotations

import re
from pathlib import PurePath
from typing import Any

from otochron.corrections.anchors import Shift
from otochron.corrections.hidden import Hidden
from otochron.lexicon import Lexicon
from otochron.lexicon.personal import personal_spans
from otochron.model import Bilingual, Case, Check, LanguageSpan, Line, Mention, Plan, Record, Repair, Saying

_CODE, _HIDDEN_CODE = "personal-data", "personal-data-hidden"
_SUFFIX = re.compile(r"\.[a-z]{1,5}")


def mask_record(record: Record, lexicon: Lexicon) -> Record:
    """Hide names, birth dates and file numbers that are spoken, and the names of voices and of the file.

    Parameters
    ----------
    record : Record
        Complete.
    lexicon : Lexicon
        The cues that announce personal data.

    Returns
    -------
    Record
        Every hidden letter and digit is one block sign, so that all offsets stay true. A name that was announced
        once is hidden wherever it is spoken. What is repeated in messages and quotations is hidden too. What the
        cues do not announce is not found: masking is a help, no proof.
    """
    as_heard = _as_heard(record)
    hidden = Hidden(record, personal_spans(record, lexicon), personal_spans(as_heard, lexicon))
    voices = {voice: f"voice {n}" for n, voice in enumerate(dict.fromkeys(x.voice for x in record.lines if x.voice), 1)}
    masked = record.evolve(
        lines=tuple(hidden.line(line).evolve(voice=voices.get(line.voice or "")) for line in record.lines)
    )
    suffix = PurePath(record.recording.name).suffix
    return masked.evolve(
        recording=record.recording.evolve(name="recording" + (suffix if _SUFFIX.fullmatch(suffix) else "")),
        repairs=tuple(_repair(repair, hidden) for repair in record.repairs),
        mentions=tuple(m.evolve(surface=hidden.surface(masked, m, m.surface)) for m in record.mentions),
        measurements=tuple(m.evolve(surface=hidden.surface(masked, m, m.surface)) for m in record.measurements),
        case=_case(record.case, hidden),
        corrections=tuple(
            c.evolve(
                target=hidden.anywhere(c.target),
                was=c.was if c.was is None else hidden.anywhere(c.was),
                now=c.now if c.now is None else hidden.anywhere(c.now),
                by=hidden.anywhere(c.by),
            )
            for c in record.corrections
        ),
        checks=tuple(_check(check, hidden, lexicon) for check in record.checks),
    )


def _as_heard(record: Record) -> Record:
    """Give the record before repair, as far as personal data is looked for: a repair may hide a title or a name."""
    repairs: dict[str, list[Repair]] = {line.id: [] for line in record.lines}
    for repair in record.repairs:
        repairs[repair.line].append(repair)
    shifts = {name: Shift(found) for name, found in repairs.items()}
    return record.evolve(
        lines=tuple(line.evolve(text=line.heard, languages=_languages(line, shifts[line.id])) for line in record.lines),
        mentions=tuple(_moved(m, shifts) for m in record.mentions),
        repairs=(),
    )


def _moved(mention: Mention, shifts: dict[str, Shift]) -> Mention:
    start = shifts[mention.line].to_heard(mention.start)
    return mention.evolve(start=start, end=max(start, shifts[mention.to_line].to_heard(mention.end, end=True)))


def _languages(line: Line, shift: Shift) -> tuple[LanguageSpan, ...]:
    spans = [(shift.to_heard(s.start), shift.to_heard(s.end, end=True), s.language) for s in line.languages]
    return tuple(LanguageSpan(start=start, end=end, language=lang) for start, end, lang in spans)


def _repair(repair: Repair, hidden: Hidden) -> Repair:
    touched = hidden.touches_heard(repair.line, repair.heard_start, repair.heard_end)
    return repair.evolve(
        heard=hidden.heard_of(repair.line, repair.heard_start, repair.heard_end),
        text=hidden.repaired(repair),
        alternatives=() if touched else repair.alternatives,
        concept=None if touched else repair.concept,
    )


def _check(check: Check, hidden: Hidden, lexicon: Lexicon) -> Check:
    """Hide what a message repeats; the stop for personal data becomes a note that it is hidden."""
    entry = lexicon.get(_HIDDEN_CODE)
    if check.code == _CODE and entry is not None:
        message = Bilingual(en=entry.en.text or "", fr=entry.fr.text or "")
        return check.evolve(code=_HIDDEN_CODE, level="info", message=message)
    told = {
        lang: hidden.told(text, check.evidence) for lang, text in (("en", check.message.en), ("fr", check.message.fr))
    }
    return check.evolve(message=Bilingual(**told))


def _case(case: Case, hidden: Hidden) -> Case:
    """Hide what facts repeat of the words: quotations and attributes."""

    def fact(item: Any) -> Any:
        changes: dict[str, Any] = {}
        if isinstance(item, (Saying, Plan)) and item.text:
            changes["text"] = hidden.quoted(item.text, item.evidence)
        if item.attributes:
            changes["attributes"] = {
                key: hidden.told(value, item.evidence) if isinstance(value, str) else value
                for key, value in item.attributes.items()
            }
        return item.evolve(**changes) if changes else item

    changes: dict[str, Any] = {
        name: tuple(fact(item) for item in getattr(case, name))
        for name in Case.model_fields
        if isinstance(getattr(case, name), tuple)
    }
    tissue = case.tissue
    changes["tissue"] = tissue.evolve(
        removed=tuple(fact(item) for item in tissue.removed), altered=tuple(fact(item) for item in tissue.altered)
    )
    return case.evolve(**changes)
