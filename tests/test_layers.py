"""The layers of the house: who may import whom. The contracts stand in pyproject.toml."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_layers_hold() -> None:
    command = "import sys; from importlinter.cli import lint_imports_command as c; sys.exit(c())"
    done = subprocess.run([sys.executable, "-c", command, "--no-cache"], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
