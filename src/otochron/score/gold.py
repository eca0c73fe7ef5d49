"""Read a gold file: JSON, times in seconds, trade terms in English; unknown keys are ignored."""

from __future__ import annotations

import json
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from otochron.errors import GoldError

Value = float | int | str | bool | None | list[Any]


class Loose(BaseModel):
    """A part of a gold file: unknown keys are ignored."""

    model_config = ConfigDict(extra="ignore", coerce_numbers_to_str=False)


class Run(Loose):
    """A stretch of one language inside a sentence."""

    lang: str
    heard: str
    meant: str = ""


class Sentence(Loose):
    """One sentence as heard and as meant."""

    start: float
    end: float
    lang: str = ""
    heard: str = ""
    meant: str = ""
    register_: str | None = Field(default=None, alias="register")
    runs: list[Run] = []


class GoldRepair(Loose):
    """A misheard trade word."""

    time: float
    heard: str
    meant: str
    lang: str = ""
    term: str | None = None


class Trap(Loose):
    """Words that look wrong and are right."""

    time: float
    text: str
    why: str = ""


class GoldMention(Loose):
    """A trade term as spoken."""

    time: float
    heard: str
    term: str | None = None
    status: str = "affirmed"
    surface: str | None = None


class GoldStep(Loose):
    """A step with its times."""

    label: str
    start: float
    end: float
    status: str = "done"


class GoldMeasurement(Loose):
    """A size as spoken; ``value`` may be a ``[low, high]`` pair."""

    time: float
    until: float | None = None
    value: float | list[float] | None
    unit: str = ""
    of: str | None = None
    heard: str = ""
    status: str = "affirmed"
    role: str | None = None
    echo: bool = False
    has_role: bool = False


class GoldFact(Loose):
    """Any fact of the case: what, where, status, time."""

    time: float = 0.0
    what: str | list[str] | None = None
    structure: str | None = None
    value: Value = None
    field: str | None = None
    status: str = ""
    lang: str | None = None
    after: Value = None
    for_: Value = Field(default=None, alias="for")
    until: Value = None
    length: float | None = None
    diameter: float | None = None


class Gold(Loose):
    """One gold file."""

    id: str = ""
    procedures: list[str] = []
    side: str | None = None
    approach: list[str] = []
    report: bool = False
    sentences: list[Sentence] = []
    repairs: list[GoldRepair] = []
    traps: list[Trap] = []
    mentions: list[GoldMention] = []
    mentions_complete_until: float | None = None
    steps: list[GoldStep] = []
    measurements: list[GoldMeasurement] = []
    findings: list[GoldFact] = []
    implants: list[GoldFact] = []
    plan: list[GoldFact] = []
    requests: list[GoldFact] = []
    cautions: list[GoldFact] = []
    facts: list[GoldFact] = []


def read_gold(text: str, name: str = "gold.json") -> Gold:
    """Read a gold file.

    Raises
    ------
    GoldError
        If it is not JSON or a key has the wrong shape.
    """
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise GoldError(
            f"{name}, line {error.lineno}", f"not JSON ({error.msg})", "a gold file", "Mend the file."
        ) from None
    if not isinstance(data, dict):
        raise GoldError(name, "not a JSON object", "a gold file", "See the README for its keys.")
    if isinstance(data.get("approach"), str):
        data["approach"] = [data["approach"]]
    for item in data.get("measurements", []):
        if isinstance(item, dict):
            item["has_role"] = "role" in item
    try:
        return Gold.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise GoldError(name, f"{place}: {first['msg'].lower()}", "the gold format", "Mend the file.") from None
