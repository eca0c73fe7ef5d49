"""The codebook: in Markdown for people, as CSV on the Web metadata (W3C, 2015) for programs."""

from __future__ import annotations

import json
from typing import Any

from otochron.lexicon import Entry, Lexicon
from otochron.writers.tables.rows import TABLES

_CODES = ("NM", "NONE", "UNC", "NA")
_MEANING = (
    "NM: not mentioned; NONE: said not to be; UNC: said with doubt or in several readings; NA: not applicable. A bar "
    "parts the codes of a list."
)
_KEYS = {
    "steps": "step_id",
    "mentions": "mention_id",
    "measurements": "measurement_id",
    "repairs": "repair_id",
}


def variables(lexicon: Lexicon, table: str) -> list[Entry]:
    """Give the variables of a table, in the order of the word list."""
    return [e for e in lexicon.of_kind("rule") if e.role == "variable" and e.scope == table]


def columns(lexicon: Lexicon, table: str) -> list[str]:
    """Give the column names of a table."""
    return [str(e.values["column"]) for e in variables(lexicon, table)]


def coded(lexicon: Lexicon) -> list[Entry]:
    """Give the variables of a recording that a person codes too."""
    return [entry for entry in variables(lexicon, "recordings") if entry.values.get("coded")]


def is_list(entry: Entry) -> bool:
    """Tell whether a cell may hold several codes, joined by a bar."""
    return bool(entry.values.get("list"))


def is_closed(entry: Entry) -> bool:
    """Tell whether a variable takes its codes and nothing else."""
    return entry.values["datatype"] == "string" and not is_list(entry) and not set(codes_of(entry)) <= set(_CODES)


def codes_of(entry: Entry) -> list[str]:
    """Give the codes of a variable."""
    codes = entry.values.get("codes", ())
    return list(codes) if isinstance(codes, (tuple, list)) else [str(codes)]


def write_codebook(lexicon: Lexicon) -> str:
    """Write the codebook in Markdown: every variable with its meaning, codes and source."""
    lines = [
        "# Codebook",
        "",
        "One CSV file per table (RFC 4180, UTF-8), joined by `recording_id`. Made by computer from speech; not "
        f"mentioned is never normal. {_MEANING}",
        "A cell that a spreadsheet would take for a formula has an apostrophe before it.",
        "pandas takes `NA` and `NONE` apart from text only with `read_csv(path, keep_default_na=False)`.",
    ]
    for table in TABLES:
        lines += [
            "",
            f"## {table}.csv",
            "",
            "| variable | type | meaning | codes | source |",
            "| --- | --- | --- | --- | --- |",
        ]
        for entry in variables(lexicon, table):
            codes = ", ".join(f"`{c}`" for c in codes_of(entry)) or "-"
            name, kind = entry.values["column"], entry.values["datatype"]
            lines.append(f"| `{name}` | {kind} | {entry.en.text} | {codes} | {entry.source} |")
    return "\n".join(lines) + "\n"


def write_metadata(lexicon: Lexicon) -> str:
    """Write the CSV on the Web table group."""
    group = {
        "@context": ["http://www.w3.org/ns/csvw", {"@language": "en"}],
        "dc:title": "Research tables of spoken operations",
        "dc:description": f"Made by computer from speech; not mentioned is never normal. {_MEANING}",
        "tables": [_table(lexicon, table) for table in TABLES],
    }
    return json.dumps(group, ensure_ascii=False, indent=2) + "\n"


def _table(lexicon: Lexicon, table: str) -> dict[str, Any]:
    shown = []
    for entry in variables(lexicon, table):
        kind = str(entry.values["datatype"])
        # A number cannot be NM: there the codes are nulls. A text can, and keeps them apart.
        nulls = [c for c in codes_of(entry) if c in _CODES] if kind != "string" else []
        column: dict[str, Any] = {
            "name": str(entry.values["column"]),
            "titles": str(entry.values["column"]),
            "dc:description": entry.en.text or "",
            "dc:source": entry.source,
            "datatype": kind,
        }
        if codes_of(entry):
            column["rdfs:comment"] = f"Codes: {', '.join(codes_of(entry))}"
        if is_list(entry):
            column["separator"] = "|"
        if is_closed(entry):
            column["datatype"] = {"base": kind, "format": f"^({'|'.join(codes_of(entry))})$"}
        if nulls:
            column["null"] = nulls
        shown.append(column)
    schema: dict[str, Any] = {"columns": shown}
    if table == "recordings":
        schema["primaryKey"] = "recording_id"
    else:
        reference = {"resource": "recordings.csv", "columnReference": "recording_id"}
        schema["foreignKeys"] = [{"columnReference": "recording_id", "reference": reference}]
        schema["primaryKey"] = ["recording_id", _KEYS.get(table, "order")]
    return {"url": f"{table}.csv", "dialect": {"header": True, "encoding": "utf-8"}, "tableSchema": schema}
