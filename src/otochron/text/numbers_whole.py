"""Whole numbers as they are spoken: the part of the grammar below ``numbers.py``."""

from __future__ import annotations

from collections.abc import Sequence

from otochron.text.number_words import Atom, atom, same_language
from otochron.text.stream import Word

BREATH_MS = 900
"""Words further apart than this are not one number."""

Whole = tuple[int, int, float | None]
"""Value, end, and the other reading of "quatre vingt-cinq" (4.25), if there is one."""


class WholeReader:
    """The grammar of whole numbers over one stream. A method takes a place and gives what ends where.

    ``start`` is the first word of the number: what follows must be of its language and breath.
    """

    def __init__(self, words: Sequence[Word]) -> None:
        self.words = words
        self.atoms: list[Atom | None] = [atom(word) for word in words]

    def part(self, place: int, start: int, *, comma: bool = False) -> Atom | None:
        """Give the atom at ``place`` if it continues the whole number begun at ``start``."""
        here = self.at(place, start, comma=comma)
        first = self.atoms[start] if start < len(self.atoms) else None
        return here if here is None or first is None or same_language(first, here) else None

    def at(self, place: int, start: int, *, comma: bool = False) -> Atom | None:
        """Give the atom at ``place`` if it continues the number begun at ``start``, in either language."""
        if place >= len(self.words):
            return None
        if place > start:
            before = self.words[place - 1]
            if before.mark == "." or (before.mark == "," and not comma):
                return None
            if self.words[place].start_ms - before.end_ms > BREATH_MS:
                return None
        return self.atoms[place]

    def is_digits(self, place: int, start: int) -> bool:
        """Tell whether digits stand at ``place`` and continue what began at ``start``."""
        if place >= len(self.words) or not self.words[place].text[0].isdigit():
            return False
        return place == start or (
            self.words[place - 1].mark == "" and self.words[place].line == self.words[place - 1].line
        )

    def below_hundred(self, place: int, start: int) -> Whole | None:  # noqa: PLR0911  # a return per manner
        """Give value, end, and the other reading of "quatre vingt-cinq" (4.25)."""
        here = self.part(place, start)
        if here is None:
            return None
        following = self.part(place + 1, start)
        if (
            here.digit == 4
            and here.language == "fr"
            and following
            and following.ten == 20
            and following.language == "fr"
        ):
            return self._eighty(place, start)
        if here.ten is not None:
            return (*self._after_ten(here.ten, here, place + 1, start), None)
        if here.teen is not None:
            if here.teen == 10 and here.language == "fr" and following and following.digit in (7, 8, 9):
                return 10 + following.digit, place + 2, None
            return here.teen, place + 1, None
        if here.digit is not None:
            return here.digit, place + 1, None
        return None

    def _eighty(self, place: int, start: int) -> Whole:
        value, end = self._after_ten(80, None, place + 2, start)
        units = value - 80
        return value, end, 4.2 + units / 100 if units < 10 else None

    def _after_ten(self, tens: int, ten: Atom | None, place: int, start: int) -> tuple[int, int]:  # noqa: PLR0911  # a return per manner
        takes_teens = ten is None or ten.seventy_teens
        here = self.part(place, start)
        if here is not None and here.tens_and:
            after = self.part(place + 1, start)
            if after is not None and after.digit == 1:
                return tens + 1, place + 2
            if after is not None and after.teen == 11 and takes_teens:
                return tens + 11, place + 2
            return tens, place
        if here is None:
            return tens, place
        if here.digit is not None and self._joins_tens(place):
            return tens + here.digit, place + 1
        if here.teen is not None and takes_teens and here.language == "fr":
            more = self.below_hundred(place, start)
            assert more is not None
            return tens + more[0], more[1]
        return tens, place

    def _joins_tens(self, place: int) -> bool:
        """Tell whether a digit joins the tens before it: "twenty one" does, "twenty a" does not."""
        here = self.atoms[place]
        return here is not None and not (here.article and here.language == "en")

    def _below_thousand(self, place: int, start: int) -> Whole | None:
        small = self.below_hundred(place, start)
        here = self.part(place, start)
        count, end = 1, place
        if small is not None:
            count, end = small[0], small[1]
        elif here is None or not here.hundred:
            if not (here and here.article and here.one and (n := self.part(place + 1, start)) and n.hundred):
                return None
            end = place + 1
        hundred = self.part(end, start)
        if hundred is None or not hundred.hundred:
            return small
        if count >= 10 and not 10 < count <= hundred.hundreds_up_to:
            return small
        end += 1
        joiner = self.part(end, start)
        rest = self.below_hundred(end + 1 if joiner is not None and joiner.hundred_and else end, start)
        # "between one hundred and two hundred": the second hundred is a number of its own.
        if rest is not None:
            after = self.part(rest[1], start)
            own_hundred = after is not None and after.hundred and joiner is not None and joiner.hundred_and
            if not own_hundred:
                return count * 100 + rest[0], rest[1], None
        return count * 100, end, None

    def whole(self, place: int) -> Whole | None:
        """Give the longest whole number at ``place``: value, end, other reading."""
        first = self._below_thousand(place, place)
        here = self.atoms[place]
        if first is None:
            if here is None:
                return None
            if here.scale is not None and here.language == "fr":
                first = (1, place, None)
            elif here.article and (n := self.part(place + 1, place)) is not None and n.scale is not None:
                first = (1, place + 1, None)
            else:
                return None
        value, end, other = first
        total, below = 0, 10**12
        while True:
            scale = self.part(end, place)
            if scale is None or scale.scale is None or scale.scale >= below:
                return total + value, end, other
            total, below, other = total + value * scale.scale, scale.scale, None
            end += 1
            joiner = self.part(end, place, comma=True)
            skip = end + 1 if joiner is not None and joiner.hundred_and else end
            if self.part(skip, place, comma=skip == end) is None:
                return total, end, None
            rest = self._below_thousand(skip, skip)
            if rest is None:
                return total, end, None
            value, end = rest[0], rest[1]
