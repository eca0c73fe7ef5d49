"""Fixtures: outside data, golden files."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

# The first call of a property loads libraries or word lists: its time says nothing. The same examples every run.
settings.register_profile("otochron", deadline=None, derandomize=True)
settings.load_profile("otochron")

GOLDEN = Path(__file__).parent / "golden"
SAMPLES = Path(__file__).parent.parent / "samples"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="rewrite tests/golden (read the diff line by line)")


@pytest.fixture(scope="session")
def outside() -> Path:
    """The folder of outside data; tests that need it skip with a plain reason where it is absent."""
    folder = os.environ.get("OTOCHRON_OUTSIDE_DATA")
    if not folder or not Path(folder).is_dir():
        pytest.skip("outside data is not here: set OTOCHRON_OUTSIDE_DATA to its folder")
    return Path(folder)


@pytest.fixture
def check_golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with ``tests/golden/<name>``; a missing file fails."""

    def check(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--update-golden"):
            if os.environ.get("CI"):
                pytest.fail("golden files are not rewritten in CI")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8", newline="\n")
            return
        assert path.is_file(), f"no golden file {name}: run pytest --update-golden and read what it wrote"
        assert text == path.read_text("utf-8"), f"{name} changed: read the difference, then pytest --update-golden"

    return check
