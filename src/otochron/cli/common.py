"""What several commands share: reading from a path or ``-``, writing to a path or ``-``."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from otochron.lexicon import Lexicon
    from otochron.model import Record

_DATE = re.compile(r"^\d{4}-\d{2}-\d{2}$")


def read_input(path: str) -> tuple[bytes, str]:
    """Give the bytes and the name of an input; ``-`` is standard input."""
    from otochron import files

    if path == "-":
        return sys.stdin.buffer.read(), "stdin"
    return files.read_bytes(Path(path)), Path(path).name


def read_record(path: str) -> Record:
    """Read a record.json from a path or ``-``."""
    from otochron.errors import RecordError
    from otochron.model import load_record

    data, name = read_input(path)
    try:
        return load_record(data.decode("utf-8-sig"), name if path == "-" else path)
    except UnicodeDecodeError:
        raise RecordError(path, "is not UTF-8 text", "a record.json", "Run extract again.") from None


def write_output(text: str | bytes, path: str | None) -> None:
    """Write to a path, whole or not at all; to standard output for None or ``-``."""
    from otochron import files

    if path is None or path == "-":
        sys.stdout.buffer.write(text.encode("utf-8") if isinstance(text, str) else text)
        sys.stdout.buffer.flush()
    else:
        files.write_whole(Path(path), text)


def load_lexicon(overlays: tuple[str, ...]) -> Lexicon:
    """Load the word lists with the overlays given."""
    from otochron.lexicon import load

    return load(*overlays)


def check_date(_ctx: click.Context, _param: click.Parameter, value: str | None) -> str | None:
    """Accept a day as ``YYYY-MM-DD`` that exists."""
    import datetime

    if value is None:
        return None
    if not _DATE.match(value):
        raise click.BadParameter(f"{value!r} is not a day as YYYY-MM-DD")
    try:
        datetime.date.fromisoformat(value)
    except ValueError:
        raise click.BadParameter(f"{value!r} is not a day of the calendar") from None
    return value


lexicon_option = click.option(
    "--lexicon",
    "overlays",
    multiple=True,
    type=click.Path(),
    metavar="FILE",
    help="A word list that adds to or overrides the shipped ones; may be given again.",
)
language_option = click.option(
    "--language",
    type=click.Choice(["en", "fr"]),
    default="en",
    show_default=True,
    help="Language of the output.",
)
output_option = click.option(
    "--out", "output", metavar="FILE", default=None, help="Write here, not to standard output."
)
