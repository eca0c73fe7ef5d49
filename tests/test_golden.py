"""Two samples, every text output, letter by letter. ``pytest --update-golden`` rewrites; read the difference."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from otochron.job import Options, run_job
from otochron.lexicon import load
from otochron.writers.chapters import write_chapters

SAMPLES = Path(__file__).parents[1] / "samples"
CASES = ("stapedotomy-right", "cartilage-tympanoplasty-left")
NAMES = ("record.json", "note.en.md", "note.fr.md", "captions.vtt", "chapters.vtt", "chapters.fr.txt")


LEFT_OUT = ("made_by", "lines", "clauses", "mentions", "reasons")
"""What is long, or changes with every version; the captions show the lines, other tests the rest."""


def brief(value: Any) -> Any:
    """Give a record short enough to be read: spans in one line, no empty values."""
    if isinstance(value, list):
        return [brief(one) for one in value]
    if not isinstance(value, dict):
        return value
    if set(value) == {"line", "start", "to_line", "end", "start_ms", "end_ms"}:
        end = value["end"] if value["to_line"] == value["line"] else f"{value['to_line']}:{value['end']}"
        return f"{value['line']}:{value['start']}-{end} at {value['start_ms']}"
    kept = {
        name: brief(one)
        for name, one in value.items()
        if name not in LEFT_OUT or (name == "reasons" and "side" in value)
    }
    return {name: one for name, one in kept.items() if one not in (None, [], {}, "")}


@cache
def outputs(case: str) -> dict[str, str]:
    """The outputs of a sample, without what changes from version to version."""
    path = next(p for p in (SAMPLES / case).iterdir() if p.stem == "transcript")
    result = run_job(path.read_bytes(), path.name, Options(date="2026-03-12"), load())
    files = {name: text if isinstance(text, str) else text.decode() for name, text in result.files.items()}
    files["record.json"] = json.dumps(brief(json.loads(files["record.json"])), ensure_ascii=False, indent=1) + "\n"
    files["chapters.fr.txt"] = write_chapters(result.record, load(), "fr", "text")
    return files


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("case", CASES)
def test_output_is_as_it_was_read(case: str, name: str, check_golden: Callable[[str, str], None]) -> None:
    check_golden(f"{case}/{name}", outputs(case)[name])


@pytest.mark.parametrize("case", CASES)
def test_the_same_input_gives_the_same_bytes(case: str) -> None:
    path = next(p for p in (SAMPLES / case).iterdir() if p.stem == "transcript")
    again = run_job(path.read_bytes(), path.name, Options(date="2026-03-12"), load())
    assert {name: text for name, text in again.files.items() if name in NAMES[1:5]} == {
        name: text for name, text in outputs(case).items() if name in NAMES[1:5]
    }
