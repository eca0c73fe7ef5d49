"""Add an entry to an overlay file."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from otochron.errors import LexiconError
from otochron.lexicon.check import check
from otochron.lexicon.folder import default_folder
from otochron.lexicon.load import lexicon_files, read_lexicon

Tongues = Mapping[str, tuple[tuple[str, ...], str | None, str | None]]


def entry_text(concept: str, kind: str, source: str, tongues: Tongues) -> str:
    """Write one entry as TOML. JSON strings are TOML basic strings."""
    lines = [f"[{concept}]", f"kind = {_quote(kind)}", f"source = {_quote(source)}"]
    for lang, (forms, yes, no) in tongues.items():
        lines.append(f"[{concept}.{lang}]")
        if not forms:
            lines.append(f'none = "no {lang} term given"')
            continue
        lines.append(f"forms = [{', '.join(_quote(form) for form in forms)}]")
        lines += [f"yes = [{_quote(yes)}]"] if yes else []
        lines += [f"no = [{_quote(no)}]"] if no else []
    return "\n".join(lines) + "\n"


def _quote(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def add_entry(path: str, concept: str, kind: str, source: str, tongues: Tongues) -> tuple[str, int]:
    """Append an entry to the text of the overlay at ``path``, checked with all word lists loaded.

    Returns
    -------
    tuple of str and int
        The new text of the overlay, and how many entries there are in all.

    Raises
    ------
    LexiconError
        With every problem.
    """
    folder = default_folder()
    shipped = [(str(p.relative_to(folder).as_posix()), p.read_text("utf-8")) for p in lexicon_files(folder)]
    target = Path(path)
    old = target.read_text("utf-8") if target.exists() else ""
    text = (old.rstrip() + "\n\n" if old.strip() else "") + entry_text(concept, kind, source, tongues)
    lexicon = read_lexicon([*shipped, (target.name, text)])
    problems = [p for p in check(lexicon) if f"[{concept}]" in p]
    if problems:
        raise LexiconError(path, " | ".join(problems), "an entry without a problem", "Change the words and try again.")
    return text, len(lexicon.entries)
