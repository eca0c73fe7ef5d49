"""The record: one value that flows from the reader through the stages to the writers."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any, Literal, Self, cast

from pydantic import BaseModel, Field, ValidationError

from otochron.errors import RecordError
from otochron.model.base import Frozen
from otochron.model.case import Case
from otochron.model.parts import (
    Check,
    Clause,
    Correction,
    Line,
    Measurement,
    Mention,
    Missing,
    Repair,
    Step,
    Unclear,
)

FORMAT = "otochron.record"
FORMAT_VERSION = "1.0"


class MadeBy(Frozen):
    """What made the record: the same input with the same of these gives the same bytes."""

    otochron: str = ""
    options: dict[str, Any] = Field(default_factory=dict)
    lexicons: dict[str, str] = Field(default_factory=dict)
    weights: dict[str, str] = Field(default_factory=dict)


class Recording(Frozen):
    """Where the words came from."""

    name: str = ""
    sha256: str = ""
    reader: str = ""
    duration_ms: int = Field(default=0, ge=0)
    time_basis: Literal["word", "cue", "block"] = "cue"
    continuous: bool | None = None
    last_end_estimated: bool = False


class Languages(Frozen):
    """Shares of the words, switches, and the Code-Mixing Index (Das & Gambäck 2014), 0..100."""

    en: float = 0.0
    fr: float = 0.0
    switches: int = 0
    code_mixing_index: float = 0.0


class Record(Frozen):
    """Everything known of one recording, with its evidence."""

    format: Literal["otochron.record"] = "otochron.record"
    format_version: str = FORMAT_VERSION
    made_by: MadeBy = MadeBy()
    recording: Recording = Recording()
    languages: Languages = Languages()
    lines: tuple[Line, ...] = ()
    clauses: tuple[Clause, ...] = ()
    repairs: tuple[Repair, ...] = ()
    unclear: tuple[Unclear, ...] = ()
    mentions: tuple[Mention, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    steps: tuple[Step, ...] = ()
    case: Case = Case()
    corrections: tuple[Correction, ...] = ()
    review: Literal["draft", "checked"] = "draft"
    checks: tuple[Check, ...] = ()
    missing: tuple[Missing, ...] = ()

    def evolve(self, **changes: Any) -> Self:
        """Return a copy with ``changes``, validated; what does not change stays the same object.

        Every field of a record has a default, so the changes can be checked alone. Keeping the other
        fields identical lets the stream of words be made once per text (see ``otochron.text.stream``).
        """
        checked = type(self)(**changes)
        values = {name: getattr(checked if name in changes else self, name) for name in type(self).model_fields}
        return cast("Self", type(self).model_construct(**values))


_EXPONENT = re.compile(rb"\d[eE][-+]?\d|0\.0000")
"""A number that is written with an exponent by one of two writers, or something like it."""


def dump_record(record: Record) -> str:
    """Write a record as JSON: keys in model order, two-space indent, UTF-8, one newline at the end.

    Lines, mentions and the like are written one by one: as one tree of dictionaries those of four hours take 70 MB.
    """
    return encode_record(record).decode("utf-8")


def encode_record(record: Record) -> bytes:
    """Write the same in UTF-8: as characters of two bytes it is twice as large."""
    return b"".join(_pieces(record))


def _pieces(record: Record) -> Iterator[bytes]:
    before = b"{\n"
    for name in Record.model_fields:
        yield before + f"  {json.dumps(name)}: ".encode()
        before = b",\n"
        value = getattr(record, name)
        if isinstance(value, tuple) and value:
            for n, item in enumerate(value):
                yield b",\n    " if n else b"[\n    "
                yield _model(item).replace(b"\n", b"\n    ")
            yield b"\n  ]"
        elif isinstance(value, BaseModel):
            yield _model(value).replace(b"\n", b"\n  ")
        else:
            plain = record.model_dump(mode="json", by_alias=True, include={name})[name]
            yield _json(plain).replace(b"\n", b"\n  ")
    yield b"\n}\n"


def _model(value: BaseModel) -> bytes:
    """Write a model as ``json`` would, many times as fast; they differ in very small and very large numbers alone."""
    found = value.model_dump_json(by_alias=True, indent=2).encode()
    return _json(value.model_dump(mode="json", by_alias=True)) if _EXPONENT.search(found) else found


def _json(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, indent=2).encode()


def load_record(text: str, name: str = "record.json") -> Record:
    """Read a record; keys that this version does not know are ignored.

    Parameters
    ----------
    text : str
        The JSON of one record.
    name : str
        What to call it in an error.

    Raises
    ------
    RecordError
        If it is not JSON, not a record, or a record of another major format version.
    """
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise RecordError(
            f"{name}, line {error.lineno}", f"not JSON ({error.msg})", "a record.json", "Run extract again."
        ) from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise RecordError(name, "not an otochron record", f'"format": "{FORMAT}"', "Give a record.json.")
    version = str(data.get("format_version", ""))
    if version.split(".", maxsplit=1)[0] != FORMAT_VERSION.split(".", maxsplit=1)[0]:
        raise RecordError(name, f"format version {version!r}", f"{FORMAT_VERSION}", "Use a matching otochron.")
    while True:
        try:
            return Record.model_validate_json(json.dumps(data))
        except ValidationError as error:
            extra = [e["loc"] for e in error.errors() if e["type"] == "extra_forbidden"]
            if not extra:
                first = error.errors()[0]
                place = ".".join(str(part) for part in first["loc"])
                raise RecordError(
                    name, f"{place}: {first['msg']}", "the record schema", "See otochron schema."
                ) from None
            for loc in extra:
                _drop(data, loc)


def _drop(data: Any, loc: tuple[int | str, ...]) -> None:
    """Remove the value at ``loc`` from nested JSON."""
    for key in loc[:-1]:
        data = data[key]
    data.pop(loc[-1], None)


def record_schema() -> dict[str, Any]:
    """Give the JSON Schema (2020-12) of a record."""
    schema = Record.model_json_schema(by_alias=True, mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "otochron record", **schema}
