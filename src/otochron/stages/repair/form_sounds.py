"""The sounds of the words of forms, written out beforehand: reading them is quicker than working them out.

The file says from which sound tables it was made; if those have changed it is not used, and any word that it
lacks is worked out. So it can only save time.
"""

from __future__ import annotations

import hashlib
import lzma
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from otochron.lexicon.weights import weights_folder
from otochron.model import Lang
from otochron.text.sound_data import sounds_folder
from otochron.text.sounds import phones

FILE: Final = "form-sounds.txt.xz"


def tables_hash() -> str:
    """Give a hash of the sound tables that sounds are made from."""
    found = hashlib.sha256()
    for path in sorted(sounds_folder().iterdir()):
        if path.suffix in (".toml", ".xz"):
            found.update(path.name.encode() + path.read_bytes())
    return found.hexdigest()


@lru_cache(maxsize=2)
def _written(lang: Lang) -> dict[str, str]:
    path = weights_folder() / FILE
    if not path.is_file():
        return {}
    head, *lines = lzma.decompress(path.read_bytes()).decode().split("\n")
    if head != tables_hash():
        return {}
    parts = (line.split("\t") for line in lines if line)
    column = 1 if lang == "en" else 2
    return {row[0]: row[column] for row in parts}


def word_sounds(word: str, lang: Lang) -> str:
    """Give the phones of a word of a form."""
    found = _written(lang).get(word)
    return phones(word, lang) if found is None else found


def dump_sounds(words: Iterable[str]) -> bytes:
    """Write the sounds of words in both languages, packed."""
    rows = [f"{word}\t{phones(word, 'en')}\t{phones(word, 'fr')}" for word in sorted(set(words))]
    return lzma.compress("\n".join([tables_hash(), *rows]).encode(), preset=9)
