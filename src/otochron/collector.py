"""A pause for the garbage collector while many lasting values are made, and memory given back.

Word lists, tables and records are trees without cycles: they go when the last name of them goes. The collector would
walk over all of them again and again while they grow, which costs a third of a first extraction, and find nothing.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def paused() -> Iterator[None]:
    """Switch the collector off, and on again if it was on."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def give_back() -> None:
    """Give memory that is free again back to the system, where its C library can (glibc).

    After the search for repairs in a recording of four hours that is 50 MB, which else stay in between what lasts.
    """
    if not sys.platform.startswith("linux"):
        return
    import ctypes

    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)
