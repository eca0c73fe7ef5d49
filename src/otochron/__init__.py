"""Turn the spoken commentary of an ear operation into a checked record, a draft note, captions and tables.

>>> import otochron
>>> otochron.__version__
'0.1.0'
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from otochron.version import __version__

if TYPE_CHECKING:
    from otochron.api import extract, read
    from otochron.errors import OtochronError
    from otochron.model import Record

__all__ = ["OtochronError", "Record", "__version__", "extract", "read"]

_WHERE = {
    "read": "otochron.api",
    "extract": "otochron.api",
    "Record": "otochron.model",
    "OtochronError": "otochron.errors",
}


def __getattr__(name: str) -> Any:
    """Import public names on first use, so that ``otochron --help`` is instant."""
    if name in _WHERE:
        import importlib

        return getattr(importlib.import_module(_WHERE[name]), name)
    raise AttributeError(f"module 'otochron' has no attribute {name!r}")
