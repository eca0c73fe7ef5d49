"""What can go wrong, as one tree. A message says where, what was found, what was expected and what to do.

OtochronError
├── ReadError        an input that is not what its format says
├── LexiconError     a word list with mistakes (all of them at once)
├── CorrectionsError a corrections file that cannot be read
├── RecordError      a record.json that cannot be read
├── GoldError        a gold file that cannot be read
└── WriteError       an output that cannot be written
    └── FullDiskError    because the disk is full
"""

from __future__ import annotations

from pathlib import PurePath


class OtochronError(Exception):
    """A mistake that the user can mend. The text is one plain line.

    Parameters
    ----------
    where : str
        File, and line or entry where known (``case.vtt, line 12``).
    found : str
        What stands there.
    expected : str
        What should stand there.
    remedy : str
        What to do about it.
    """

    def __init__(self, where: str | PurePath, found: str, expected: str = "", remedy: str = "") -> None:
        self.where = str(where)
        self.found = found
        self.expected = expected
        self.remedy = remedy
        super().__init__(self.line())

    def line(self) -> str:
        """Give the message as one line."""
        text = f"{self.where}: {self.found}"
        if self.expected:
            text += f"; expected {self.expected}"
        if self.remedy:
            text += f". {self.remedy}"
        return " ".join(text.split())

    def __reduce__(self) -> tuple[type, tuple[str, str, str, str]]:
        # An error that cannot be unpickled hangs a process pool.
        return type(self), (self.where, self.found, self.expected, self.remedy)


class ReadError(OtochronError):
    """An input that is not what its format says."""


class LexiconError(OtochronError):
    """A word list with mistakes; ``found`` lists all of them."""


class CorrectionsError(OtochronError):
    """A corrections file that cannot be read."""


class RecordError(OtochronError):
    """A record that cannot be read."""


class GoldError(OtochronError):
    """A gold file that cannot be read."""


class WriteError(OtochronError):
    """An output that cannot be written."""


class FullDiskError(WriteError):
    """An output that cannot be written because the disk, or one's share of it, is full."""
