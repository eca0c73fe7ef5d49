"""A pause for the garbage collector while many lasting values are made.

Word lists, tables and records are trees without cycles: they go when the last name of them goes. The collector would
walk over all of them again and again while they grow, which costs a third of a first extraction, and find nothing.
"""

from __future__ import annotations

import gc
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
