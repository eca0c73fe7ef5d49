"""Double coding: draw a sample, give an empty coding sheet, and read filled ones back."""

from __future__ import annotations

import csv
import difflib
import io
import random
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from otochron.errors import RecordError
from otochron.lexicon import Entry, Lexicon
from otochron.writers.tables.codebook import coded, codes_of, is_closed, is_list
from otochron.writers.tables.rows import SIGNS
from otochron.writers.tables.write import table_text

SHEET = ("recording_id", "name", "path", "variable", "codes", "code")
_OTHER = "other:"
_DELIMITERS = ",;\t"

Codes = dict[tuple[str, str], str]
"""Code by recording and variable."""


def draw_sample(rows: Sequence[Mapping[str, Any]], number: int, seed: int) -> list[Mapping[str, Any]]:
    """Draw recordings, stratified by main operation: each operation in proportion, at least one of each that fits.

    Parameters
    ----------
    rows : sequence of mappings
        Rows of the recordings table; copies of a recording are passed over.
    number : int
        How many to draw.
    seed : int
        The same seed draws the same sample.
    """
    strata: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    rows = [row for row in rows if row.get("copy_of", "NA") == "NA"]
    for row in sorted(rows, key=lambda r: str(r["recording_id"])):
        strata[str(row["main_procedure"])].append(row)
    rng = random.Random(seed)
    for name in sorted(strata):
        rng.shuffle(strata[name])
    number = min(number, len(rows))
    quota = {name: number * len(members) / len(rows) for name, members in strata.items()}
    taken = {name: min(len(strata[name]), int(share)) for name, share in quota.items()}
    by_rest = sorted(strata, key=lambda n: (taken[n] > 0, -(quota[n] - int(quota[n])), n))
    for name in by_rest * 2:
        if sum(taken.values()) < number and taken[name] < len(strata[name]):
            taken[name] += 1
    return [row for name in sorted(strata) for row in strata[name][: taken[name]]]


def empty_sheet(sample: Sequence[Mapping[str, Any]], lexicon: Lexicon) -> str:
    """Give an empty coding sheet: one row per recording and variable, the code to be filled in by a person.

    It tells nothing of what the program coded, not even by its order: the operation by which it was drawn is a code.
    """
    rows = [
        {
            "recording_id": row["recording_id"],
            "name": row["name"],
            "path": row["path"],
            "variable": entry.values["column"],
            "codes": _hint(entry),
        }
        for row in sorted(sample, key=lambda r: str(r["recording_id"]))
        for entry in coded(lexicon)
    ]
    return table_text(rows, list(SHEET))


def _hint(entry: Entry) -> str:
    if is_closed(entry):
        return " / ".join(codes_of(entry))
    what = "a number" if entry.values["datatype"] != "string" else "ids, joined by |" if is_list(entry) else "an id"
    signs = [f"{sign} before what is {state}" for state, sign in SIGNS.items() if sign and entry.of]
    return " / ".join([what, *codes_of(entry), *signs])


def read_sheet(text: str, name: str, lexicon: Lexicon) -> Codes:
    """Read a filled coding sheet as a spreadsheet saves it; rows without a code are left out.

    Commas, semicolons or tabs part the columns; decimal commas, capitals, the order in a list and names in place of
    ids do not matter.

    Raises
    ------
    RecordError
        With the line: a column is missing, a variable or a code is none, or a variable is coded twice.
    """
    text = text.removeprefix("\ufeff")
    first = text.split("\n", 1)[0]
    delimiter = max(_DELIMITERS, key=first.count)
    reader = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter)
    missing = [c for c in ("recording_id", "variable", "code") if c not in (reader.fieldnames or ())]
    if missing:
        raise RecordError(
            f"{name}, line 1", f"no column {missing[0]!r}", ", ".join(SHEET), "Fill in the sheet as it was drawn."
        )
    variables = {str(entry.values["column"]): entry for entry in coded(lexicon)}
    names = _names(lexicon)
    found: Codes = {}
    for row in reader:
        place = f"{name}, line {reader.line_num}"
        key = (row["recording_id"] or "").strip(), (row["variable"] or "").strip()
        if not (row["code"] or "").strip():
            continue
        if key[1] not in variables:
            raise RecordError(
                place, f"no variable {key[1]!r}", ", ".join(variables), "Fill in the sheet as it was drawn."
            )
        if key in found:
            raise RecordError(place, f"{key[1]} of {key[0]} is coded twice", "one code", "Delete one of the rows.")
        found[key] = _code(row["code"].strip(), variables[key[1]], names, place)
    return found


def _names(lexicon: Lexicon) -> dict[str, str]:
    """Give what may be written for each concept: its id and its name in either language."""
    names = {lexicon.label(e.id, lang).casefold(): e.id for e in lexicon.entries.values() for lang in ("fr", "en")}
    return {**names, **{concept.casefold(): concept for concept in lexicon.entries}}


def _code(text: str, entry: Entry, names: Mapping[str, str], place: str) -> str:
    codes = {code.casefold(): code for code in codes_of(entry)}
    if text.casefold() in codes:
        return codes[text.casefold()]
    if is_closed(entry):
        raise RecordError(place, f"no code {text!r}", " / ".join(codes.values()), "See codebook.md.")
    if entry.values["datatype"] != "string":
        try:
            return f"{float(text.replace(',', '.')):g}"
        except ValueError:
            raise RecordError(place, f"{text!r} is no number", _hint(entry), "See codebook.md.") from None
    parts = [part.strip() for part in text.split("|")] if is_list(entry) else [text]
    return "|".join(sorted({_concept(part, names, place) for part in parts if part}))


def _concept(text: str, names: Mapping[str, str], place: str) -> str:
    text = text.casefold()
    if text.startswith(_OTHER):
        return text
    sign = next((s for s in SIGNS.values() if s and text.startswith(s)), "")
    bare = text.removeprefix(sign).strip()
    if bare in names:
        return sign + names[bare]
    near = difflib.get_close_matches(bare, names, 1)
    remedy = f"Did you mean {near[0]!r}?" if near else f"Write {_OTHER} before what the word lists do not know."
    raise RecordError(place, f"no concept {bare!r}", "an id of the word lists", remedy)


def machine_codes(rows: Sequence[Mapping[str, Any]], lexicon: Lexicon) -> Codes:
    """Give the program's codes of the coded variables, written as :func:`read_sheet` gives a person's."""
    found: Codes = {}
    for row in rows:
        for entry in coded(lexicon):
            name = str(entry.values["column"])
            value = row[name]
            text = f"{value:g}" if isinstance(value, float) else str(value)
            found[str(row["recording_id"]), name] = "|".join(sorted(text.split("|"))) if is_list(entry) else text
    return found
