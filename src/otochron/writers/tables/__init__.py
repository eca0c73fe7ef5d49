"""Research tables: CSV (RFC 4180), joined by ids, with a codebook in Markdown and as CSV on the Web metadata."""

from otochron.writers.tables.codebook import write_codebook, write_metadata
from otochron.writers.tables.rows import TABLES, record_rows
from otochron.writers.tables.write import plain_cell, table_text, tables_text, tell_copies

__all__ = [
    "TABLES",
    "plain_cell",
    "record_rows",
    "table_text",
    "tables_text",
    "tell_copies",
    "write_codebook",
    "write_metadata",
]
