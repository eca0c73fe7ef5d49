"""A browser to open pages in: Debian's Chromium. Elsewhere these tests skip and say why."""

from __future__ import annotations

import os
import wave
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from otochron.lexicon import load
from otochron.model import Record
from otochron.pipeline import run
from otochron.readers import read_bytes
from otochron.writers.page import write_page

CHROMIUM = Path(os.environ.get("OTOCHRON_CHROMIUM", "/usr/bin/chromium"))
SAMPLE = Path(__file__).parents[2] / "samples" / "stapedotomy-right" / "transcript.md"


@dataclass
class Opened:
    """A page in the browser, with what it complained of and what it asked for."""

    page: Any
    faults: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if not CHROMIUM.is_file():
        pytest.skip(f"no browser at {CHROMIUM}: install Debian's chromium or set OTOCHRON_CHROMIUM")
    with sync_api.sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture(scope="session")
def axe() -> str:
    """The text of axe-core, which looks for faults that keep people out."""
    path = os.environ.get("OTOCHRON_AXE")
    if not path or not Path(path).is_file():
        pytest.skip("axe-core is not here: set OTOCHRON_AXE to its axe.min.js")
    return Path(path).read_text("utf-8")


@pytest.fixture(scope="session")
def sample() -> Record:
    return run(read_bytes(SAMPLE.read_bytes(), SAMPLE.name), load())


@pytest.fixture
def open_page(browser: Any, tmp_path: Path) -> Iterator[Callable[..., Opened]]:
    """Write the page of a record and open it, as a person would from a disk."""
    contexts: list[Any] = []

    def opened(record: Record, media: str | None = None, place: str = "", **context: Any) -> Opened:
        path = tmp_path / "page.html"
        path.write_text(write_page(record, load(), media=media), "utf-8")
        settings = {"viewport": {"width": 1280, "height": 860}, "locale": "en-GB", "color_scheme": "light", **context}
        contexts.append(browser.new_context(**settings))
        found = Opened(contexts[-1].new_page())
        found.page.on("console", lambda m: found.faults.append(m.text) if m.type in ("error", "warning") else None)
        found.page.on("pageerror", lambda error: found.faults.append(str(error)))
        found.page.on("request", lambda request: found.asked.append(request.url))
        found.page.set_default_timeout(5_000)
        found.page.goto(path.as_uri() + place)
        return found

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    """Ninety seconds of silence."""
    path = tmp_path / "silence.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(1)
        file.setframerate(8_000)
        file.writeframes(bytes([128]) * 8_000 * 90)
    return path
