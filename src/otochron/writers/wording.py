"""Wordings that several writers share: times, numbers with units, names, in either language.

The words themselves are data: ``lexicons/rules/wording*.toml``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from functools import lru_cache

from otochron.lexicon import Lexicon
from otochron.model import Lang, Measurement, Record
from otochron.writers.language import GRAMMARS, Grammar

NBSP = "\u00a0"
DRAFT = {
    "en": "Draft made by computer from speech: to be checked and signed by the surgeon; local rules apply.",
    "fr": "Brouillon établi par ordinateur d’après la parole\u00a0: à vérifier et à signer par le chirurgien\u00a0; "
    "les règles locales s’appliquent.",
}
_UNITS: dict[str, dict[str, str]] = {
    "en": {
        "um": "µm",
        "deg": "°",
        "d": "day|days",
        "wk": "week|weeks",
        "mo": "month|months",
        "a": "year|years",
        "kOhm": "kΩ",
        "/min": "rpm",
        "{clock}": "o’clock",
        "{gauge}": "gauge",
        "[Ch]": "Fr",
        "1": "",
    },
    "fr": {
        "um": "µm",
        "deg": "°",
        "d": "jour|jours",
        "wk": "semaine|semaines",
        "mo": "mois",
        "a": "an|ans",
        "kOhm": "kΩ",
        "/min": "tr/min",
        "{clock}": "heure|heures",
        "{gauge}": "gauge",
        "[Ch]": "Ch",
        "1": "",
    },
}
_TO = {"en": "to", "fr": "à"}
_LETTERS = re.compile(r"[^\W_]+")
_ISO = re.compile(
    r"^P(?:(\d+(?:\.\d+)?)Y)?(?:(\d+(?:\.\d+)?)M)?(?:(\d+(?:\.\d+)?)W)?(?:(\d+(?:\.\d+)?)D)?"
    r"(?:T(?:(\d+(?:\.\d+)?)H)?(?:(\d+(?:\.\d+)?)M)?(?:(\d+(?:\.\d+)?)S)?)?$"
)
_ISO_UNITS = ("year", "month", "week", "day", "hour", "minute", "second")


class Wording:
    """The phrases of one language, and the names of concepts as a note writes them."""

    def __init__(self, lexicon: Lexicon, lang: Lang) -> None:
        self.lexicon = lexicon
        self.lang = lang
        self.grammar: Grammar = GRAMMARS[lang]

    def say(self, phrase: str, **values: str) -> str:
        """Give a phrase of the word lists, filled in."""
        return _phrases(self.lexicon, "wording")[phrase][self.lang].format_map(values)

    def has(self, phrase: str) -> bool:
        """Tell whether the word lists hold a phrase."""
        return phrase in _phrases(self.lexicon, "wording")

    def name(self, concept: str | None) -> str:
        """Name a concept."""
        shown = _phrases(self.lexicon, "note-label").get(concept or "")
        return self.proper(shown[self.lang] if shown else self.lexicon.label(concept, self.lang))

    def proper(self, text: str) -> str:
        """Give names and abbreviations their capitals; the word lists write small letters."""
        capitals = _capitals(self.lexicon)
        return _LETTERS.sub(lambda match: capitals.get(match.group(), match.group()), text)

    def gender(self, concept: str | None) -> str | None:
        """Give the grammatical gender of a concept's name."""
        entry = self.lexicon.get(concept)
        return entry.tongue(self.lang).gender if entry else None

    def is_adjective(self, concept: str | None) -> bool:
        """Tell whether the name of a finding is an adjective in this language."""
        return concept in _listed(self.lexicon, f"note-adjectives-{self.lang}")

    def is_listed(self, concept: str, role: str) -> bool:
        """Tell whether a rule of the word lists names a concept."""
        return concept in _listed(self.lexicon, role)

    def span_of_time(self, duration: str) -> str:
        """Write an ISO 8601 duration in words; what is none stays as it is."""
        match = _ISO.match(duration)
        parts: list[str] = []
        for unit, amount in zip(_ISO_UNITS, match.groups() if match else (), strict=False):
            if amount is not None:
                value = float(amount)
                one, many = self.say(f"unit-{unit}").split("|")
                parts.append(self.grammar.number(value) + NBSP + (many if self._is_many(value) else one))
        return " ".join(parts) or duration

    def _is_many(self, value: float) -> bool:
        return value >= float(self.say("plural-from"))

    def day(self, iso: str) -> str:
        """Write a calendar day; what is none stays as it is."""
        try:
            found = date.fromisoformat(iso)
        except ValueError:
            return iso
        return f"{found.day}{NBSP}{self.say('months').split()[found.month - 1]}{NBSP}{found.year}"


@lru_cache(maxsize=16)
def _phrases(lexicon: Lexicon, role: str) -> Mapping[str, Mapping[Lang, str]]:
    """Give the phrases of the rules of a role; each value is a pair: English, French."""
    found: dict[str, dict[Lang, str]] = {}
    for entry in lexicon.of_kind("rule"):
        if entry.role == role:
            for name, pair in entry.values.items():
                if isinstance(pair, tuple) and len(pair) == 2:
                    found[name] = {"en": pair[0], "fr": pair[1]}
    return found


@lru_cache(maxsize=4)
def _capitals(lexicon: Lexicon) -> Mapping[str, str]:
    entries = [entry for entry in lexicon.of_kind("rule") if entry.role == "note-capitals"]
    lists = [entry.values.get("words") for entry in entries]
    listed = [word for words in lists if isinstance(words, tuple) for word in words]
    return {word.casefold(): word for word in listed}


@lru_cache(maxsize=16)
def _listed(lexicon: Lexicon, role: str) -> frozenset[str]:
    return frozenset(concept for entry in lexicon.of_kind("rule") if entry.role == role for concept in entry.of)


def is_draft(record: Record) -> bool:
    """Tell whether the draft banner stays: until no stop is open and the review is checked."""
    return record.review != "checked" or any(check.level == "stop" for check in record.checks)


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
    return GRAMMARS[lang].number(value)


def size(measurement: Measurement, lang: Lang) -> str:
    """Give the value of a measurement with its unit; a value that two readings share shows both."""
    unit = _UNITS[lang].get(measurement.unit, measurement.unit)
    if measurement.quantity == "ratio" and measurement.value and measurement.value < 1:
        return f"1:{_grouped(round(1 / measurement.value))}"
    low, high = measurement.low, measurement.high
    if low is not None and high is not None and low != high:
        amount = f"{number(low, lang)}{NBSP}{_TO[lang]}{NBSP}{number(high, lang)}"
    elif measurement.value is not None:
        amount = number(measurement.value, lang)
    elif measurement.readings:
        amount = "/".join(number(v, lang) for v in measurement.readings) + "?"
    else:
        bound, sign = (low, "≥") if low is not None else (high, "≤")
        amount = f"{sign}{NBSP}{number(bound, lang)}" if bound is not None else "?"
    if "|" in unit:
        one, many = unit.split("|")
        unit = one if amount in ("1", "0") else many
    if not unit:
        return amount
    return amount + ("" if unit in GRAMMARS[lang].NO_GAP else NBSP) + unit


def _grouped(value: int) -> str:
    """Group the digits of a large number with no-break spaces."""
    return f"{value:,}".replace(",", NBSP) if value >= 10_000 else str(value)


def part_name(lexicon: Lexicon, measurement: Measurement, lang: Lang) -> str:
    """Name what a measurement measures."""
    return lexicon.label(measurement.of, lang) if measurement.of else ("unnamed" if lang == "en" else "non précisé")
