"""Doubt about sizes: impossible, ambiguous, or two final ones for one thing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from otochron.lexicon import Entry, Lexicon
from otochron.model import Check, Lang, Measurement, Record
from otochron.stages.checks.wording import Wording

_SHIFTS = (0.1, 0.01, 10.0, 100.0)
_LANGUAGES: tuple[Lang, ...] = ("en", "fr")


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Look at implausible and ambiguous sizes; stop at two final sizes for one thing."""
    found: list[Check] = []
    finals: dict[tuple[str, str], list[Measurement]] = defaultdict(list)
    corrected = {m.corrects for m in record.measurements}
    for measurement in record.measurements:
        if measurement.status == "retracted":
            continue
        if measurement.plausible is False:
            found.append(_implausible(measurement, lexicon, wording))
        if measurement.value is None and measurement.readings:
            readings = {lang: _or(measurement.readings, lang) for lang in _LANGUAGES}
            found.append(wording.check("size-ambiguous", [measurement], said=measurement.surface, readings=readings))
        if (
            measurement.role == "final"
            and measurement.of
            and measurement.status == "affirmed"
            and measurement.echo_of is None
            and measurement.id not in corrected
        ):
            finals[measurement.of, measurement.dimension or ""].append(measurement)
    for (concept, _), sizes in finals.items():
        values = {m.value for m in sizes if m.value is not None}
        if len(values) > 1 and record.case.side.value != "both":
            shown = {
                lang: ", ".join(_amount(m.value, m.unit, lang) for m in sizes if m.value is not None)
                for lang in _LANGUAGES
            }
            found.append(wording.check("size-contradiction", sizes, what=wording.name(concept), sizes=shown))
    return found


def _implausible(measurement: Measurement, lexicon: Lexicon, wording: Wording) -> Check:
    """Propose the decimal shift that alone lands in the typical band; the value stays as heard."""
    what = wording.name(measurement.of)
    values = [v for v in (measurement.value, measurement.low, measurement.high) if v is not None]
    size = {lang: _amount(values[0], measurement.unit, lang) if values else measurement.surface for lang in _LANGUAGES}
    band = _band(measurement, lexicon)
    fits = [
        values[0] * shift
        for shift in _SHIFTS
        if values and band and band.typical and band.typical[0] <= values[0] * shift <= band.typical[1]
    ]
    if len(fits) == 1:
        shifted = {lang: _amount(round(fits[0], 4), measurement.unit, lang) for lang in _LANGUAGES}
        return wording.check("size-decimal-shift", [measurement], size=size, what=what, shifted=shifted)
    return wording.check("size-implausible", [measurement], size=size, what=what)


def _band(measurement: Measurement, lexicon: Lexicon) -> Entry | None:
    rows = [e for e in lexicon.of_kind("dimension") if measurement.of in e.of and e.unit == measurement.unit]
    same = [e for e in rows if e.dimension == measurement.dimension]
    return next(iter(same or rows), None)


def _amount(value: float, unit: str, lang: Lang) -> str:
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return f"{text.replace('.', ',') if lang == 'fr' else text}\u00a0{unit}"


def _or(values: Sequence[float], lang: Lang) -> str:
    return {"en": " or ", "fr": " ou "}[lang].join(_amount(v, "", lang).strip() for v in values)
