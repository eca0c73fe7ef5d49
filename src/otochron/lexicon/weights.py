"""Fitted numbers, stored as data in ``lexicons/weights/`` with the report of their fit."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from pathlib import Path
from typing import Any

from otochron.lexicon.folder import default_folder


def weights_folder() -> Path:
    """Give the folder of the fitted numbers."""
    return default_folder() / "weights"


@lru_cache(maxsize=16)
def load_weights(name: str) -> dict[str, Any]:
    """Read ``lexicons/weights/<name>.json``."""
    loaded: dict[str, Any] = json.loads((weights_folder() / f"{name}.json").read_text("utf-8"))
    return loaded


@lru_cache(maxsize=1)
def weight_hashes() -> dict[str, str]:
    """Give the sha256 of every file of fitted numbers."""
    folder = weights_folder()
    if not folder.is_dir():
        return {}
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.iterdir()) if p.is_file()}
