"""Bytes to text: which encoding, which line ends, and what is no text at all."""

from __future__ import annotations

import codecs

from otochron.errors import ReadError

MAX_BYTES = 32 * 1024 * 1024
"""Ten times what four hours of word-timed JSON take; more is refused before any work is done."""

_MEDIA = (b"RIFF", b"OggS", b"ID3", b"fLaC", b"\x89PNG", b"\xff\xd8\xff")
_BINARY_STARTS = (*_MEDIA, b"%PDF", b"PK\x03\x04", b"\x1f\x8b")
_TEXT_CONTROLS = frozenset(b"\t\n\v\f\r\x1b")
_ENCODINGS = "UTF-8, or UTF-16 with a byte order mark"
_SAMPLE = 4096
_SHOWN = 60


def decode(data: bytes, name: str) -> str:
    """Give the text of a file with line feeds as line ends and no byte order mark.

    Raises
    ------
    ReadError
        If the file is empty, too large, binary, or neither UTF-8 nor UTF-16 with a byte order mark.
    """
    if len(data) > MAX_BYTES:
        found, most = f"is {len(data) / 2**20:.0f} MiB", f"at most {MAX_BYTES // 2**20} MiB of text"
        raise ReadError(name, found, most, "Give the transcript alone, or split it.")
    if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise ReadError(name, "is UTF-32 text", _ENCODINGS, "Save it as UTF-8.")
    encoding = "utf-16" if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig"
    if encoding != "utf-16":
        _refuse_binary(data, name)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        label = "UTF-16" if encoding == "utf-16" else "UTF-8"
        where = f"{name}, line {data.count(10, 0, error.start) + 1}"
        found = f"byte 0x{data[error.start]:02x} is not {label} text"
        raise ReadError(where, found, _ENCODINGS, "Save the file as UTF-8.") from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise ReadError(f"{name}, line {line}", "a NUL character", "text", "Give the transcript itself.")
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise ReadError(name, "is empty", "a timed transcript", "Check that the export finished.")
    return text


def _refuse_binary(data: bytes, name: str) -> None:
    sample = data[:_SAMPLE]
    media = data.startswith(_BINARY_STARTS)
    zeros = sample.count(0)
    # Every second byte of Latin text in UTF-16 is zero.
    if not media and zeros and abs(zeros - len(sample) / 2) < len(sample) / 20 + 1:
        found = "looks like UTF-16 without a byte order mark"
        raise ReadError(name, found, _ENCODINGS, "Save it as UTF-8.")
    controls = sum(1 for byte in sample if byte < 32 and byte not in _TEXT_CONTROLS)
    if media or zeros or controls > len(sample) / 10:
        raise ReadError(name, "is a binary file", "a timed transcript as text", "Give the transcript itself.")


def shown(text: str) -> str:
    """Give a short quotation of a text for an error."""
    text = " ".join(text[: 4 * _SHOWN].split())
    return repr(text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…")
