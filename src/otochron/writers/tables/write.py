"""Write the rows of many records into CSV files, one record at a time: memory does not grow with their number."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from otochron.lexicon import Lexicon
from otochron.writers.tables.codebook import columns, write_codebook, write_metadata
from otochron.writers.tables.rows import TABLES

Rows = Mapping[str, Sequence[Mapping[str, Any]]]
"""The rows of one record, by table."""
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def plain_cell(value: Any) -> Any:
    """Make a cell harmless in a spreadsheet: text that would run as a formula gets an apostrophe before it.

    >>> plain_cell("=1+1"), plain_cell(-1.5), plain_cell("fixed")
    ("'=1+1", '-1.5', 'fixed')
    """
    if isinstance(value, float):
        # 5e-06 is no decimal of XML Schema, which CSV on the Web uses.
        return f"{value:.9f}".rstrip("0").rstrip(".")
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value


def table_text(rows: Iterable[Mapping[str, Any]], names: list[str], *, header: bool = True) -> str:
    """Give rows as CSV with CRLF line ends."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    if header:
        writer.writerow(names)
    writer.writerows([plain_cell(row.get(name, "")) for name in names] for row in rows)
    return text.getvalue()


def tell_copies(records: Iterable[Rows]) -> Iterator[Rows]:
    """Give each copy of a recording an id of its own, and say of which it is a copy; ids join the tables.

    Only the ids are remembered, not the rows.
    """
    seen: dict[str, int] = {}
    for rows in records:
        first = str(rows["recordings"][0]["recording_id"])
        seen[first] = seen.get(first, 0) + 1
        if seen[first] > 1:
            own = {"recording_id": f"{first}-{seen[first]}"}
            rows = {  # noqa: PLW2901  # the same rows under another id
                name: [{**row, **own, **({"copy_of": first} if name == "recordings" else {})} for row in table]
                for name, table in rows.items()
            }
        yield rows


def tables_text(records: Iterable[Rows], lexicon: Lexicon) -> Iterator[tuple[str, str]]:
    """Give all tables, the codebook and the metadata as ``(file name, next piece of its text)``.

    Parameters
    ----------
    records : iterable of mappings
        The rows of each record by table, taken one record at a time.
    lexicon : Lexicon
        Its ``variable`` rules are the codebook.
    """
    names = {table: columns(lexicon, table) for table in TABLES}
    for table in TABLES:
        yield f"{table}.csv", table_text([], names[table])
    for rows in tell_copies(records):
        for table in TABLES:
            yield f"{table}.csv", table_text(rows.get(table, ()), names[table], header=False)
    yield "codebook.md", write_codebook(lexicon)
    yield "csv-metadata.json", write_metadata(lexicon)
