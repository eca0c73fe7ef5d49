"""The page: one file that needs nothing else, to read, check, search and teach from one recording.

Three readers, one page: a surgeon settles what must be checked, an educator goes by steps, a researcher filters
mentions. The parts: ``units`` cuts the speech, ``transcript``, ``drawing`` and ``panels`` write HTML, ``data``
packs what the script needs, ``frame`` puts all together under a strict content security policy. Style and script
are the files beside this one.
"""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.writers.page.frame import frame
from otochron.writers.page.scene import Scene

__all__ = ["write_page"]


def write_page(record: Record, lexicon: Lexicon, media: str | None = None) -> str:
    """Write the page of a record.

    Parameters
    ----------
    record : Record
        Complete.
    lexicon : Lexicon
        Names of concepts, words of the interface (``lexicons/rules/page.toml``).
    media : str, optional
        The recording's sound or video as the page shall ask for it: a path beside the page, an absolute path,
        or a ``file:`` address. Without it the reader may choose a file in the page; it never leaves the computer.

    Returns
    -------
    str
        HTML. It asks the network for nothing, and its policy forbids it to.
    """
    return frame(Scene.of(record, lexicon), media)
