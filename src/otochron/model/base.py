"""The frozen value that every part of a record is."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field

Lang = Literal["en", "fr"]
Status = Literal["affirmed", "negated", "uncertain", "hypothetical", "planned", "general", "past", "retracted"]
Register = Literal["narration", "teaching", "request", "aside"]
Side = Literal["left", "right", "both"]
Ms = Annotated[int, Field(ge=0, description="milliseconds from the start of the recording")]


_GIVEN: dict[frozenset[str], set[str]] = {}


class Frozen(BaseModel):
    """A value that cannot change; :meth:`evolve` gives a new, checked one.

    Unknown keys are refused when we make a value and ignored when an old or newer record is loaded
    (see :func:`otochron.model.record.load_record`).
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, populate_by_name=True, serialize_by_alias=True)

    def model_post_init(self, _context: Any, /) -> None:
        """Share the set of the names of the fields given with all values that were made alike: 20 MB in four hours."""
        given = self.__pydantic_fields_set__
        object.__setattr__(self, "__pydantic_fields_set__", _GIVEN.setdefault(frozenset(given), given))

    def evolve(self, **changes: Any) -> Self:
        """Return a copy with ``changes``, validated; ``model_copy(update=…)`` would not validate.

        Fields that do not change are passed on as they are: they were checked when they were made.
        """
        values = {name: getattr(self, name) for name in type(self).model_fields}
        values.update(changes)
        return type(self)(**values)


class Span(Frozen):
    """A stretch of the text: half-open code points of the NFC ``text`` of ``line`` and ``to_line``."""

    line: str
    start: int = Field(ge=0)
    to_line: str
    end: int = Field(ge=0)
    start_ms: Ms
    end_ms: Ms

    def model_post_init(self, _context: Any, /) -> None:
        """Refuse a span that runs backwards."""
        super().model_post_init(_context)
        if self.end_ms < self.start_ms:
            raise ValueError(f"span ends ({self.end_ms} ms) before it starts ({self.start_ms} ms)")
        if self.line == self.to_line and self.end < self.start:
            raise ValueError(f"span ends ({self.end}) before it starts ({self.start}) in {self.line}")

    def span(self) -> Span:
        """Give the bare span of any part that carries one."""
        return Span(
            line=self.line,
            start=self.start,
            to_line=self.to_line,
            end=self.end,
            start_ms=self.start_ms,
            end_ms=self.end_ms,
        )
