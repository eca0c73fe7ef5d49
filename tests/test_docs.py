"""What the documents say is run: README sessions, commands, the map of DEVELOPERS.md."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from otochron.cli import main
from otochron.lexicon import default_folder
from otochron.lexicon.load import lexicon_files
from otochron.pipeline import STAGES
from otochron.readers import READERS

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
CONSOLE = re.findall(r"```console\n(.*?)```", README, re.S)


def sessions() -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for block in CONSOLE:
        for part in re.split(r"(?m)^\$ ", block)[1:]:
            command, _, output = part.partition("\n")
            found.append((command, output))
    return found


@pytest.mark.parametrize(("command", "output"), sessions(), ids=[c for c, _ in sessions()])
def test_readme_sessions_give_what_they_show(command: str, output: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    result = CliRunner().invoke(main, command.split()[1:])
    assert result.output == output


def commands() -> list[str]:
    return sorted(main.commands)


@pytest.mark.parametrize("name", commands())
def test_every_command_is_in_the_readme_and_has_help(name: str) -> None:
    assert f"`otochron {name}" in README
    command = main.commands[name]
    assert command.help
    for option in command.params:
        if isinstance(option, click.Option) and option.name not in {"help", "form", "language", "output"}:
            assert option.help, f"{name} {option.opts}"


def test_readme_python_block_runs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(ROOT)
    (block,) = re.findall(r"```python\n(.*?)```", README, re.S)
    exec(compile(block, "README.md", "exec"), {})
    assert capsys.readouterr().out.startswith("right ")


@pytest.mark.parametrize("name", [stage.name for stage in STAGES])
def test_every_stage_is_told_of(name: str) -> None:
    assert f"`{name}`" in DEVELOPERS


@pytest.mark.parametrize("name", sorted(READERS))
def test_every_format_is_told_of(name: str) -> None:
    assert f"`{name}`" in DEVELOPERS


@pytest.mark.parametrize("path", lexicon_files(default_folder()), ids=lambda p: p.name)
def test_every_word_list_is_told_of(path: Path) -> None:
    told = (ROOT / "lexicons" / "README.md").read_text("utf-8") + DEVELOPERS
    assert path.name in told or f"{path.parent.name}/" in told


def test_nothing_speaks_of_places_outside_the_project() -> None:
    pattern = re.compile(r"(^|[^a-zA-Z0-9_.])/(work|farm)/")
    for path in [
        *ROOT.glob("*.md"),
        *ROOT.glob("src/**/*.py"),
        *ROOT.glob("tests/**/*.py"),
        *ROOT.glob("lexicons/**/*"),
    ]:
        if path.is_file() and path.suffix in {".md", ".py", ".toml", ".txt"} and path.name != "test_docs.py":
            assert not pattern.search(path.read_text("utf-8")), path
