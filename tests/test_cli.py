"""The command line as its users meet it: files, one plain line for a mistake, exit statuses."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from conftest import SAMPLES
from otochron.cli import main

SAMPLE = SAMPLES / "stapedotomy-right" / "transcript.md"
FILES = {"record.json", "note.en.md", "note.fr.md", "captions.vtt", "chapters.vtt", "page.html"}


def otochron(*args: str, stdin: bytes | None = None) -> Result:
    return CliRunner().invoke(main, list(args), input=stdin)


def test_extract_writes_a_folder_for_each_input(tmp_path: Path) -> None:
    result = otochron("extract", str(SAMPLE), "--out", str(tmp_path))
    assert result.exit_code == 0, result.output
    assert {p.name for p in (tmp_path / "transcript").iterdir()} == FILES
    assert "Side: right" in result.output


def test_extract_outputs_are_for_their_owner_only(tmp_path: Path) -> None:
    otochron("extract", str(SAMPLE), "--out", str(tmp_path))
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / "transcript" / "record.json").stat().st_mode) == 0o600


def test_extract_mirrors_relative_paths(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for folder in ("a", "b"):
        Path(folder).mkdir()
        Path(folder, "talk.md").write_text("[0:00] the footplate is fixed\n", "utf-8")
    result = otochron("extract", "a/talk.md", "b/talk.md", "--out", "out")
    assert result.exit_code == 0, result.output
    assert Path("out/a/talk/record.json").is_file()
    assert Path("out/b/talk/record.json").is_file()


def test_extract_names_the_recording_as_the_page_sees_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("talk.md").write_text("[0:00] the footplate is fixed\n", "utf-8")
    Path("talk.mp3").write_bytes(b"")
    result = otochron("extract", "talk.md", "--out", "out", "--media", "talk.mp3")
    assert result.exit_code == 0, result.output
    assert 'src="../../talk.mp3"' in Path("out/talk/page.html").read_text("utf-8")


def test_extract_refuses_two_inputs_that_would_share_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("talk.md", "talk.txt"):
        Path(name).write_text("[0:00] the footplate is fixed\n", "utf-8")
    result = otochron("extract", "talk.md", "talk.txt", "--out", "out")
    assert result.exit_code == 1
    assert "share the folder" in result.stderr
    assert not Path("out").exists()


def test_extract_json_prints_the_record_alone_and_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = otochron("extract", str(SAMPLE), "--json")
    assert json.loads(result.stdout)["format"] == "otochron.record"
    assert list(tmp_path.iterdir()) == []


def test_extract_reads_standard_input_with_the_same_facts() -> None:
    piped = json.loads(otochron("extract", "-", "--json", stdin=SAMPLE.read_bytes()).stdout)
    named = json.loads(otochron("extract", str(SAMPLE), "--json").stdout)
    assert piped["recording"].pop("name") == "stdin"
    named["recording"].pop("name")
    assert piped == named


@pytest.mark.parametrize(
    ("args", "status"),
    [
        (["extract", "nowhere.vtt", "--json"], 1),
        (["extract", str(SAMPLE)], 2),
        (["extract", str(SAMPLE), "--json", "--date", "2026-02-30"], 2),
        (["note", str(SAMPLE)], 1),
        (["score", str(SAMPLE), str(SAMPLE)], 1),
        (["extract", str(SAMPLE), "--json", "--lexicon", "nowhere.toml"], 1),
        (["frobnicate"], 2),
    ],
)
def test_mistakes_end_with_their_status_and_one_line(args: list[str], status: int) -> None:
    result = otochron(*args)
    assert result.exit_code == status
    if status == 1:
        assert result.stderr.count("\n") == 1
        assert result.stderr.startswith("otochron: ")
    assert "Traceback" not in result.output


def test_record_is_the_same_bytes_whatever_the_hash_seed() -> None:
    def run(seed: str) -> bytes:
        env = os.environ | {"PYTHONHASHSEED": seed}
        command = [sys.executable, "-m", "otochron", "extract", str(SAMPLE), "--json"]
        return subprocess.run(command, env=env, capture_output=True, check=True).stdout

    assert run("1") == run("4242")


def test_help_does_not_import_heavy_libraries() -> None:
    code = (
        "import sys, otochron.cli\n"
        "heavy = {'spacy', 'numpy', 'pydantic', 'wordfreq', 'rapidfuzz', 'rich'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_schema_accepts_a_record() -> None:
    import jsonschema

    schema = json.loads(otochron("schema").stdout)
    record = json.loads(otochron("extract", str(SAMPLE), "--json").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(record, schema)


def test_lexicon_add_writes_only_what_passes_the_checks(tmp_path: Path) -> None:
    overlay = tmp_path / "mine.toml"
    words = [
        "--kind",
        "implant",
        "--en",
        "zibrulon three",
        "--fr",
        "zibrulon trois",
        "--source",
        "our theatre, invented",
    ]
    sentences = ["--yes-en", "open the zibrulon three", "--yes-fr", "ouvrez le zibrulon trois"]
    good = otochron("lexicon", "add", "zibrulon-3", *words, *sentences, "--to", str(overlay))
    assert good.exit_code == 0, good.output
    bad = otochron(
        "lexicon", "add", "zibrulon-4", "--kind", "implant", "--en", "incus", "--source", "x", "--to", str(overlay)
    )
    assert bad.exit_code == 1
    assert "LEX05" in bad.stderr
    assert "zibrulon-4" not in overlay.read_text("utf-8")
