"""The Python API: read a transcript, extract a record, write what people take away."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from otochron import files, pipeline
from otochron.collector import give_back, paused
from otochron.corrections import Corrections
from otochron.lexicon import Lexicon, load
from otochron.lexicon.placed import forget
from otochron.model import MadeBy, Record
from otochron.readers import read_bytes as _read_bytes

__all__ = ["extract", "read", "read_bytes"]


def read(path: str | Path, reader: str | None = None) -> Record:
    """Read a transcript; the format is found out from the content.

    Parameters
    ----------
    path : str or Path
        The transcript.
    reader : str, optional
        ``webvtt``, ``srt``, ``ttml``, ``blocks`` or ``segments``, to force one.

    Returns
    -------
    Record
        With ``recording`` and ``lines`` only.

    Raises
    ------
    ReadError
        If the file cannot be read or is not what its format says.
    """
    path = Path(path)
    return read_bytes(files.read_bytes(path), path.name, reader)


def read_bytes(data: bytes, name: str, reader: str | None = None) -> Record:
    """Read a transcript from bytes; ``name`` is what errors and the record call it."""
    return _read_bytes(data, name, reader)


@paused()
def extract(
    record: Record,
    lexicon: Lexicon | None = None,
    options: Mapping[str, Any] | None = None,
    corrections: Corrections | None = None,
) -> Record:
    """Run every stage on a record that was read.

    Parameters
    ----------
    record : Record
        As :func:`read` gives it.
    lexicon : Lexicon, optional
        The shipped word lists if left out.
    options : mapping, optional
        ``date``: day of operation, ``YYYY-MM-DD``; written into ``made_by.options``.
    corrections : Corrections, optional
        The surgeon's word, as :func:`otochron.corrections.read_corrections` reads it.

    Returns
    -------
    Record
        Complete; a draft until a surgeon has checked it.
    """
    from otochron.lexicon.weights import weight_hashes
    from otochron.version import __version__

    lexicon = lexicon or load()
    made_by = MadeBy(
        otochron=__version__, options=dict(options or {}), lexicons=lexicon.hashes, weights=weight_hashes()
    )
    done = pipeline.run(record.evolve(made_by=made_by), lexicon, corrections)
    forget()
    if pipeline.is_long(done):
        give_back()
    return done
