"""Doubt about sizes: impossible, ambiguous, a wrong sum, or two final ones for one thing."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from otochron.lexicon import Entry, Lexicon
from otochron.model import Check, Lang, Measurement, Record
from otochron.stages.checks.wording import Wording

_SHIFTS = (0.1, 0.01, 10.0, 100.0)
_SUM_MS = 45_000
_LENGTHS = ("length", "height", "distance", None)
_SAME = 1e-6
_UNSAID = ("retracted", "general", "past", "hypothetical", "negated")
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
    return [*found, *_wrong_sums(record, wording)]


def _wrong_sums(record: Record, wording: Wording) -> list[Check]:
    """Look at a size that is said right before or after a distance and what is added to it, and is not their sum."""
    said = [
        m
        for m in record.measurements
        if m.value is not None and m.role and m.echo_of is None and m.status not in _UNSAID and m.dimension in _LENGTHS
    ]
    found = []
    for n in range(len(said) - 2):
        three = said[n : n + 3]
        base = next((m for m in three if m.role == "measured" and m.quantity == "distance"), None)
        added = next((m for m in three if m.role == "added"), None)
        whole = next((m for m in three if m.role in ("target", "final", "intermediate")), None)
        if base is None or added is None or whole is None or whole is three[1]:
            continue
        near = three[2].start_ms - three[0].end_ms <= _SUM_MS and len({m.unit for m in three}) == 1
        total = (base.value or 0.0) + (added.value or 0.0)
        if near and whole.sum_of is None and not math.isclose(total, whole.value or 0.0, abs_tol=_SAME):
            shown = {
                name: {lang: _amount(value or 0.0, whole.unit, lang) for lang in _LANGUAGES}
                for name, value in (("base", base.value), ("added", added.value), ("sum", total), ("size", whole.value))
            }
            found.append(wording.check("size-sum", three, what=wording.name(whole.of), **shown))
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
