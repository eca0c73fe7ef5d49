"""The sound tables under ``lexicons/sounds``, read once when first asked for.

Spelling rules are data that a linguist can edit; the dictionary is a packed text that is unpacked
into one sorted block of bytes and searched by halving, which costs 2 MB instead of the 40 MB of a dict.
"""

from __future__ import annotations

import lzma
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

_HERE: Final = Path(__file__).resolve()


def sounds_folder() -> Path:
    """Give the folder of the sound tables: packaged copy first, then the repository's."""
    packaged = _HERE.parents[1] / "_lexicons" / "sounds"
    return packaged if packaged.is_dir() else _HERE.parents[3] / "lexicons" / "sounds"


@dataclass(frozen=True)
class SpellingRules:
    """One language's spelling-to-sound table, ready to run.

    Attributes
    ----------
    by_letter : dict
        First letter → rules in file order, each a compiled pattern and its sound.
    words : dict
        Whole words that no rule reads right.
    letters : dict
        Names of the letters, for abbreviations spelled out.
    numbers : dict
        Sounds of the small numbers, by their digits; also read for Roman numerals.
    marks : dict
        Other named tables of the file (liaison, endings), each a mapping of strings.
    """

    by_letter: dict[str, tuple[tuple[re.Pattern[str], str], ...]]
    words: dict[str, str]
    letters: dict[str, str]
    numbers: dict[str, str]
    marks: dict[str, dict[str, str]]

    def read(self, word: str) -> str:
        """Apply the rules from left to right; a letter without a rule is silent."""
        text = f"#{word}#"
        sounds: list[str] = []
        place, end = 1, len(text) - 1
        while place < end:
            for pattern, sound in self.by_letter.get(text[place], ()):
                if hit := pattern.match(text, place):
                    sounds.append(sound)
                    place = hit.end()
                    break
            else:
                place += 1
        return "".join(sounds)


def _expand(context: str, classes: dict[str, str]) -> str:
    """Replace the capital letters of a context by the letter classes they stand for."""
    return "".join(f"[{classes[c]}]" if c in classes else c for c in context)


def _before(context: str, classes: dict[str, str]) -> str:
    """Pattern that looks back; one look for each choice, since each look must have a fixed width."""
    choices = [_expand(choice, classes) for choice in context.lstrip("!").split("|") if choice]
    if context.startswith("!"):
        return "".join(f"(?<!{choice})" for choice in choices)
    return f"(?:{'|'.join(f'(?<={choice})' for choice in choices)})" if choices else ""


def _after(context: str, classes: dict[str, str]) -> str:
    """Pattern that looks ahead."""
    look = "(?!" if context.startswith("!") else "(?="
    return f"{look}{_expand(context.lstrip('!'), classes)})" if context else ""


@cache
def spelling_rules(name: str) -> SpellingRules:
    """Load ``<name>.toml``.

    Notes
    -----
    A rule is ``[letters, before, after, sound]``. ``before`` must match just before the letters and
    ``after`` just behind them; ``#`` is the edge of the word; a leading ``!`` means "must not".
    """
    table = tomllib.loads((sounds_folder() / f"{name}.toml").read_text(encoding="utf-8"))
    classes: dict[str, str] = table["classes"]
    grouped: dict[str, list[tuple[re.Pattern[str], str]]] = {}
    for letters, before, after, sound in table["rules"]:
        pattern = _before(before, classes) + re.escape(letters) + _after(after, classes)
        grouped.setdefault(letters[0], []).append((re.compile(pattern), sound))
    known = {"classes", "rules", "words", "letters", "numbers"}
    return SpellingRules(
        by_letter={letter: tuple(rules) for letter, rules in grouped.items()},
        words=table["words"],
        letters=table["letters"],
        numbers=table["numbers"],
        marks={key: value for key, value in table.items() if key not in known},
    )


@cache
def _packed(name: str) -> bytes:
    """Unpack the lines ``word phones [phones]`` of a dictionary, sorted by byte."""
    return b"\n" + lzma.decompress((sounds_folder() / name).read_bytes())


def dictionary_entry(name: str, word: str) -> tuple[str, ...]:
    """Phone strings of a word in a packed dictionary, empty if it is not there."""
    lines, wanted = _packed(name), word.encode()
    low, high = 0, len(lines) - 1
    while low < high:
        middle = lines.rfind(b"\n", 0, (low + high) // 2 + 1)
        middle = max(middle, low)
        end = lines.index(b"\n", middle + 1)
        found, *phones = lines[middle + 1 : end].split(b" ")
        if found == wanted:
            return tuple(phone.decode() for phone in phones)
        if found < wanted:
            low = end
        else:
            high = middle
    return ()
