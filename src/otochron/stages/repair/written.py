"""Targets written out beforehand in ``lexicons/ready/``, as the rows of forms are (``otochron/lexicon/ready.py``).

The file says from which word lists, sound tables and code it was made; if one has changed, or there is an overlay, it
is not used. Targets and readings are made when they are first asked for: a recording comes near few of them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final, overload

from otochron.lexicon.forms import tokens
from otochron.lexicon.ready import code_hash, pack, unpack
from otochron.model import Lang
from otochron.stages.repair.form_sounds import tables_hash
from otochron.stages.repair.targets import Reading, Target, Targets
from otochron.text.lazy import Lazy

FILE: Final = "targets.json.xz"
_CODE: Final = (
    "lexicon/forms.py",
    "lexicon/schema.py",
    "stages/repair/form_sounds.py",
    "stages/repair/targets.py",
    "text/inflect_en.py",
    "text/inflect_fr.py",
    "text/normal.py",
    "text/number_words.py",
    "text/numbers_en.py",
    "text/numbers_fr.py",
    "text/sound_data.py",
    "text/sounds.py",
    "text/sounds_en.py",
    "text/sounds_fr.py",
    "text/splitting.py",
)
_LANGUAGES: Final[tuple[Lang, ...]] = ("en", "fr")


def made_from(hashes: Mapping[str, str]) -> str:
    """Give a hash of all that targets are made from."""
    parts = [*(f"{name} {value}" for name, value in hashes.items()), code_hash(*_CODE), tables_hash()]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


class _Written(Sequence[Target]):
    """Targets as they are written; one is made when it is asked for."""

    def __init__(self, rows: Sequence[str]) -> None:
        self._rows = rows
        self._made: dict[int, Target] = {}

    def __len__(self) -> int:
        return len(self._rows)

    def __iter__(self) -> Iterator[Target]:
        return (self[n] for n in range(len(self)))

    @overload
    def __getitem__(self, n: int) -> Target: ...
    @overload
    def __getitem__(self, n: slice) -> Sequence[Target]: ...
    def __getitem__(self, n: int | slice) -> Target | Sequence[Target]:
        if isinstance(n, slice):
            return [self[k] for k in range(len(self))[n]]
        found = self._made.get(n)
        if found is None:
            text, concepts, language, phones, plural = self._rows[n].split(";")
            lang = _LANGUAGES[int(language)]
            found = self._made[n] = Target(text, tokens(text), tuple(concepts.split()), lang, phones, plural)
        return found

    def reading(self, _: str, packed: str) -> tuple[Reading, ...]:
        """Make the readings of one string of coarse sounds."""
        found: list[Reading] = []
        for part in packed.split("|"):
            number, *foreign = part.split(";")
            phones = foreign[0] if foreign else self._rows[int(number)].split(";")[3]
            found.append(Reading(int(number), phones, bool(foreign)))
        return tuple(found)


def written_targets(hashes: Mapping[str, str]) -> Targets | None:
    """Give the targets of word lists as they were written, or None if those of other lists or code were."""
    held: dict[str, Any] = unpack(FILE)
    if not held or held["made_from"] != made_from(hashes):
        return None
    targets = _Written(held["targets"])
    readings: dict[str, str] = held["readings"]
    coarse: dict[int, list[str]] = {}
    for sounds in readings:
        coarse.setdefault(len(sounds), []).append(sounds)
    return Targets(
        targets,
        Lazy(readings, tuple, targets.reading),
        {size: tuple(found) for size, found in coarse.items()},
        Lazy(held["letters"], tuple, lambda _, numbers: tuple(map(int, numbers.split()))),
    )


def dump_targets(targets: Targets, hashes: Mapping[str, str]) -> bytes:
    """Write the targets that were made from word lists; the order of everything is kept."""

    def row(one: Target) -> str:
        return ";".join((one.text, " ".join(one.concepts), str(_LANGUAGES.index(one.language)), one.phones, one.plural))

    def reading(one: Reading) -> str:
        return f"{one.target};{one.phones}" if one.foreign else str(one.target)

    return pack(
        {
            "made_from": made_from(hashes),
            "targets": [row(one) for one in targets.targets],
            "readings": {name: "|".join(map(reading, found)) for name, found in targets.by_coarse.items()},
            "letters": {name: " ".join(map(str, found)) for name, found in targets.by_letters.items()},
        }
    )
