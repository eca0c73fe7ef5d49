"""A dictionary whose values are kept packed until they are asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

V = TypeVar("V")


class Lazy(dict[str, V]):
    """A dictionary that unpacks a value when it is first looked up, by ``get`` or by its key.

    Parameters
    ----------
    packed : mapping
        Values as they are kept.
    made : type
        The type of unpacked values; packed ones are of another.
    unpack : callable
        Makes a value from its key and what is kept.

    Examples
    --------
    >>> numbers = Lazy({"a": "1 2"}, tuple, lambda name, kept: tuple(kept.split()))
    >>> numbers["a"], numbers.get("a"), numbers.get("b")
    (('1', '2'), ('1', '2'), None)
    """

    def __init__(self, packed: Mapping[str, Any], made: type, unpack: Callable[[str, Any], V]) -> None:
        super().__init__(packed)
        self._type = made
        self._unpack = unpack

    def __getitem__(self, name: str) -> V:
        found: Any = super().__getitem__(name)
        if found.__class__ is not self._type:
            self[name] = found = self._unpack(name, found)
        value: V = found
        return value

    def get(self, name: str, default: Any = None) -> Any:
        """Give a value, or the default."""
        found: Any = super().get(name)
        if found is None:
            return default
        return found if found.__class__ is self._type else self[name]
