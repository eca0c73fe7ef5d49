"""Read a corrections file (TOML). The format is told at the top of the file that ``--write-corrections`` drafts."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from otochron.errors import CorrectionsError

Do = Literal["accept", "refuse", "replace", "add"]
OPEN = "?"
_TABLES: dict[str, frozenset[str]] = {
    "repair": frozenset({"line", "heard", "occurrence", "do", "text", "concept", "language"}),
    "fact": frozenset(
        {"field", "line", "heard", "occurrence", "do", "concept", "structure", "finding", "system", "now"}
    ),
    "step": frozenset({"step", "line", "heard", "occurrence", "do", "now"}),
    "missing": frozenset({"item", "do", "text"}),
    "check": frozenset({"code", "line", "heard", "occurrence", "do", "reason"}),
}
_ALLOWED: dict[str, frozenset[str]] = {
    "repair": frozenset({"accept", "refuse", "replace", "add"}),
    "fact": frozenset({"accept", "refuse", "replace", "add"}),
    "step": frozenset({"accept", "refuse", "replace", "add"}),
    "missing": frozenset({"add", "refuse"}),
    "check": frozenset({"accept"}),
}
_TOP = frozenset({"recording", "by", "review", *_TABLES})
_LINE_OF_ERROR = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")


@dataclass(frozen=True)
class Anchor:
    """A place of the recording: words as heard in a line, and which occurrence of them."""

    line: str
    heard: str
    occurrence: int = 1


@dataclass(frozen=True)
class Order:
    """One thing that the surgeon decides. ``place`` names it in messages."""

    kind: str
    do: str
    place: str
    anchor: Anchor | None = None
    values: Mapping[str, Any] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """Give a value as text; empty if it is not given."""
        return str(self.values.get(name, "") or "")


@dataclass(frozen=True)
class Corrections:
    """A whole file."""

    name: str
    recording: str = ""
    by: str = ""
    review: Literal["draft", "checked"] = "draft"
    orders: tuple[Order, ...] = ()

    def of_kind(self, *kinds: str) -> list[Order]:
        """Give the orders of some kinds, in file order."""
        return [order for order in self.orders if order.kind in kinds]


def read_corrections(text: str, name: str) -> Corrections:
    """Read a corrections file.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        What to call it in an error.

    Raises
    ------
    CorrectionsError
        If it is not TOML, or a key or a value is not known. Questions left open (``do = "?"``) are no error.
    """
    try:
        data = tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        match = _LINE_OF_ERROR.search(str(error))
        where = f"{name}, line {match[1]}" if match and match[1] else name
        raise CorrectionsError(
            where, f"not TOML ({error})", "a corrections file", "Look at quotes and commas."
        ) from None
    _known(data, _TOP, name)
    review = data.get("review", "draft")
    if review not in ("draft", "checked"):
        raise CorrectionsError(name, f"review = {review!r}", '"draft" or "checked"', "Choose one.")
    orders: list[Order] = []
    for kind in _TABLES:
        tables = data.get(kind, [])
        if not isinstance(tables, list):
            raise CorrectionsError(
                name, f"[{kind}]", f"[[{kind}]] in double brackets", "Add the second pair of brackets."
            )
        for n, table in enumerate(tables, start=1):
            order = _order(kind, table, f"{name}, [[{kind}]] {n}")
            if order is not None:
                orders.append(order)
    return Corrections(name, str(data.get("recording", "")), str(data.get("by", "")), review, tuple(orders))


def _known(table: Mapping[str, Any], known: frozenset[str], where: str) -> None:
    for key in table:
        if key not in known:
            near = difflib.get_close_matches(key, sorted(known), 1)
            hint = f"Did you mean {near[0]!r}?" if near else "See the head of a drafted file."
            raise CorrectionsError(where, f"unknown key {key!r}", f"one of {', '.join(sorted(known))}", hint)


def _order(kind: str, table: Any, place: str) -> Order | None:
    if not isinstance(table, dict):
        raise CorrectionsError(place, "is not a table", "key = value lines", "See the head of a drafted file.")
    _known(table, _TABLES[kind], place)
    do = table.get("do", OPEN)
    if do == OPEN:
        return None
    if do not in _ALLOWED[kind]:
        raise CorrectionsError(
            place, f"do = {do!r}", f'one of {", ".join(sorted(_ALLOWED[kind]))}, or "?"', "Choose one."
        )
    values = {key: value for key, value in table.items() if key not in ("line", "heard", "occurrence", "do")}
    if not isinstance(values.get("now", {}), dict):
        raise CorrectionsError(place, "now is not a table", "now = { … }", "Write the new values in braces.")
    _complete(kind, do, values, table, place)
    return Order(kind, do, place, _anchor(table, place), values)


def _anchor(table: Mapping[str, Any], place: str) -> Anchor | None:
    if "line" not in table and "heard" not in table:
        return None
    line, heard, occurrence = table.get("line"), table.get("heard"), table.get("occurrence", 1)
    if not isinstance(line, str) or not isinstance(heard, str) or not heard.strip():
        raise CorrectionsError(place, "the place is not complete", "line and heard, both as text", "Give both.")
    if not isinstance(occurrence, int) or isinstance(occurrence, bool) or occurrence < 1:
        raise CorrectionsError(place, f"occurrence = {occurrence!r}", "1, 2, 3, …", "Count from 1.")
    return Anchor(line, heard, occurrence)


def _complete(kind: str, do: str, values: Mapping[str, Any], table: Mapping[str, Any], place: str) -> None:
    """Refuse an order that lacks what it needs."""
    needs: list[str] = []
    if kind == "repair":
        needs = ["line", "heard", *(["text"] if do in ("replace", "add") else [])]
    elif kind == "fact":
        needs = ["field", *(["now"] if do in ("replace", "add") else [])]
    elif kind == "step":
        needs = ["now"] if do == "add" else ["step", *(["now"] if do == "replace" else [])]
    elif kind == "missing":
        needs = ["item", *(["text"] if do == "add" else [])]
    elif kind == "check":
        needs = ["code"]
    for name in needs:
        if not (values.get(name) or table.get(name)):
            raise CorrectionsError(place, f"{name} is not given", f"{name} = …", f"An order to {do} needs it.")
