"""Small wordings that several writers share: times, numbers with units, in either language."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Lang, Measurement

NBSP = "\u00a0"
DRAFT = {
    "en": "Draft made by computer from speech: to be checked and signed by the surgeon; local rules apply.",
    "fr": "Brouillon établi par ordinateur d’après la parole\u00a0: à vérifier et à signer par le chirurgien\u00a0; "
    "les règles locales s’appliquent.",
}
_UNITS: dict[str, dict[str, str]] = {
    "en": {"um": "µm", "deg": "°", "d": "days", "wk": "weeks", "mo": "months", "a": "years", "kOhm": "kΩ", "/min": "rpm",
           "{clock}": "o’clock", "[Ch]": "Fr", "1": "", "%": "%"},
    "fr": {"um": "µm", "deg": "°", "d": "jours", "wk": "semaines", "mo": "mois", "a": "ans", "kOhm": "kΩ", "/min": "tr/min",
           "{clock}": "heures", "[Ch]": "Ch", "1": "", "%": "%"},
}
_CLOSE = {"deg"}


def clock(ms: int) -> str:
    """Give a time as ``m:ss`` or ``h:mm:ss``.

    >>> clock(65_000), clock(3_661_000)
    ('1:05', '1:01:01')
    """
    seconds = ms // 1000
    if seconds >= 3600:
        return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
    return f"{seconds // 60}:{seconds % 60:02d}"


def number(value: float, lang: Lang) -> str:
    """Give a number as the language writes it: decimal point or comma, no trailing zeros.

    >>> number(4.50, "en"), number(4.5, "fr"), number(6.0, "en")
    ('4.5', '4,5', '6')
    """
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return text.replace(".", ",") if lang == "fr" else text


def size(measurement: Measurement, lang: Lang) -> str:
    """Give the value of a measurement with its unit; a value that two readings share shows both."""
    unit = _UNITS[lang].get(measurement.unit, measurement.unit)
    if measurement.quantity == "ratio" and measurement.value:
        return f"1:{number(round(1 / measurement.value), lang)}"
    if measurement.low is not None and measurement.high is not None:
        to = "to" if lang == "en" else "à"
        amount = f"{number(measurement.low, lang)}{NBSP}{to}{NBSP}{number(measurement.high, lang)}"
    elif measurement.value is not None:
        amount = number(measurement.value, lang)
    elif measurement.readings:
        amount = "/".join(number(v, lang) for v in measurement.readings) + "?"
    else:
        bound, sign = (measurement.low, "≥") if measurement.low is not None else (measurement.high, "≤")
        amount = f"{sign}{NBSP}{number(bound, lang)}" if bound is not None else "?"
    if not unit:
        return amount
    gap = "" if measurement.unit in _CLOSE or (unit == "%" and lang == "en") else NBSP
    return amount + gap + unit


def part_name(lexicon: Lexicon, measurement: Measurement, lang: Lang) -> str:
    """Name what a measurement measures."""
    return lexicon.label(measurement.of, lang) if measurement.of else ("unnamed" if lang == "en" else "non précisé")
