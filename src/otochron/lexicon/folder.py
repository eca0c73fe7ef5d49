"""Where the shipped word lists lie."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).parent.parent


def default_folder() -> Path:
    """Give the folder of the shipped word lists: in the package, else beside the source tree."""
    packaged = PACKAGE / "_lexicons"
    return packaged if packaged.is_dir() else PACKAGE.parents[1] / "lexicons"
