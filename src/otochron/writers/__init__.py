"""Writers: a record in, text out. The table of files that one extraction writes.

How to add a writer
-------------------
1. Write ``writers/<name>.py`` with one function ``write_…(record, lexicon, …) -> str``; no file is opened here.
2. Its words go to ``lexicons/rules/wording*.toml``; what languages differ in goes to ``writers/language/``.
3. Add it to ``write_all`` if every extraction shall write it, and give it a command in ``cli/``.
"""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Record

__all__ = ["write_all"]


def write_all(record: Record, lexicon: Lexicon, media: str | None = None) -> dict[str, str]:
    """Write everything that people take away, by file name; ``media`` is for the player of the page."""
    from otochron.writers.captions import write_captions
    from otochron.writers.chapters import write_chapters
    from otochron.writers.note import write_note
    from otochron.writers.page import write_page

    return {
        "note.en.md": write_note(record, lexicon, "en", "md"),
        "note.fr.md": write_note(record, lexicon, "fr", "md"),
        "captions.vtt": write_captions(record),
        "chapters.vtt": write_chapters(record, lexicon, "en"),
        "page.html": write_page(record, lexicon, media=media),
    }
