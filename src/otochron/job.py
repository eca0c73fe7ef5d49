"""The whole job for one recording as one pure function: bytes and options in, files out.

A distributed engine can run :func:`run_job` as it stands; the command line and the batch do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from otochron.api import extract, read_bytes
from otochron.collector import paused
from otochron.corrections import mask_record, read_corrections
from otochron.lexicon import Lexicon
from otochron.model import Record, encode_record
from otochron.writers import write_all


@dataclass(frozen=True)
class Options:
    """What may be asked of one extraction."""

    date: str | None = None
    reader: str | None = None
    mask: bool = False
    media: str | None = None
    corrections: str | None = None
    """Text of a corrections file."""
    corrections_name: str | None = None

    def as_made_by(self) -> dict[str, Any]:
        """Give the options that change the record, for ``made_by.options``."""
        import hashlib

        word = hashlib.sha256(self.corrections.encode()).hexdigest() if self.corrections else None
        chosen = {"date": self.date, "reader": self.reader, "mask": self.mask or None, "corrections": word}
        return {name: value for name, value in chosen.items() if value is not None}


@dataclass(frozen=True)
class Result:
    """A record and the files that go with it, by name."""

    record: Record
    files: dict[str, str | bytes]
    """``record.json`` as bytes, which of four hours are 14 MB; the others as text."""


@paused()
def run_job(data: bytes, name: str, options: Options, lexicon: Lexicon) -> Result:
    """Read, extract, correct, mask and write one recording.

    Raises
    ------
    ReadError, CorrectionsError
        With a place and a remedy.
    """
    record = read_bytes(data, name, options.reader)
    word = (
        read_corrections(options.corrections, options.corrections_name or "corrections")
        if options.corrections
        else None
    )
    record = extract(record, lexicon, options.as_made_by(), corrections=word)
    if options.mask:
        record = mask_record(record, lexicon)
    return Result(record, {"record.json": encode_record(record), **write_all(record, lexicon, media=options.media)})
