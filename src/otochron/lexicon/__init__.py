"""The word lists: entries, loading with overlays, look-up, checks."""

from otochron.lexicon.find import Finder, Hit
from otochron.lexicon.folder import default_folder
from otochron.lexicon.load import Lexicon, load, read_lexicon
from otochron.lexicon.schema import KINDS, SPOKEN_KINDS, Entry, Tongue

__all__ = [
    "KINDS",
    "SPOKEN_KINDS",
    "Entry",
    "Finder",
    "Hit",
    "Lexicon",
    "Tongue",
    "default_folder",
    "load",
    "read_lexicon",
]
