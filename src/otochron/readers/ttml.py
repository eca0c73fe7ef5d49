"""TTML2 / IMSC text profile: one line for each ``p``; timed spans inside it give times to their words."""

from __future__ import annotations

from xml.parsers import expat

from otochron.errors import ReadError
from otochron.model import Record
from otochron.readers.build import make_record
from otochron.readers.rolling import unroll
from otochron.readers.ttml_tree import Tree


def read_ttml(text: str, data: bytes, name: str) -> Record:
    """Read TTML. A document type or entity declaration is refused, and nothing is ever fetched."""
    parser = expat.ParserCreate(namespace_separator=" ")
    body = text.lstrip()
    skipped = text.count("\n", 0, len(text) - len(body))

    def where() -> str:
        return f"{name}, line {parser.CurrentLineNumber + skipped}"

    def refuse(*_: object) -> int:
        found, expected = "a document type or entity declaration", "TTML without them"
        raise ReadError(where(), found, expected, "Take the declaration out.")

    tree = Tree(where)
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.ExternalEntityRefHandler = refuse
    parser.StartElementHandler = tree.open
    parser.EndElementHandler = tree.close
    parser.CharacterDataHandler = tree.add
    parser.buffer_text = True
    try:
        parser.Parse(body, True)
    except expat.ExpatError as error:
        found = f"not well-formed XML ({expat.ErrorString(error.code)})"
        line = f"{name}, line {error.lineno + skipped}"
        raise ReadError(line, found, "a TTML document", "Mend the file, or export it again.") from None
    if tree.untimed and not tree.pieces:
        raise ReadError(name, "no times", "begin and end on the <p> elements", "Export it with times.")
    return make_record(unroll(tree.finished()), data, name, "ttml", tree.duration_ms)
