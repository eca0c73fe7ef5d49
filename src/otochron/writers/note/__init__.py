"""The operative note: a draft for signature, in either language, as Markdown, HTML or plain text.

What is structured stands in the language of the note, whichever was spoken; what is quoted stays in its own.
Every sentence ends with its time. Nothing that was planned, feared or given up reads as done.
"""

from __future__ import annotations

from collections.abc import Callable

from otochron.lexicon import Lexicon
from otochron.model import Lang, Record
from otochron.writers.note.build import build_note
from otochron.writers.note.document import Document
from otochron.writers.note.html import as_html
from otochron.writers.note.markdown import as_markdown
from otochron.writers.note.text import as_text

__all__ = ["build_note", "write_note"]

_FORMS: dict[str, Callable[[Document], str]] = {"md": as_markdown, "html": as_html, "txt": as_text}


def write_note(record: Record, lexicon: Lexicon, language: Lang, form: str = "md") -> str:
    """Write the operative note of a record.

    Parameters
    ----------
    record : Record
        Complete.
    lexicon : Lexicon
        Names of concepts and phrases of the note.
    language : {"en", "fr"}
        Language of the note.
    form : {"md", "html", "txt"}
        Markdown, one self-contained page, or plain text of 80 columns.
    """
    return _FORMS[form](build_note(record, lexicon, language))
