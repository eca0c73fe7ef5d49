"""Everything that one extraction writes, and the commands that write one thing from a record."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from otochron.cli import main
from otochron.job import Options, Result, run_job
from otochron.lexicon import load
from otochron.model import dump_record
from otochron.writers import write_all
from writers.made import MADE

LEXICON = load()
TALK = """WEBVTT

00:01.000 --> 00:05.000
stapedotomy on the right ear for otosclerosis

00:05.000 --> 00:09.000
l'étrier est bloqué madame Zorblatt

00:09.000 --> 00:12.000
we measure four and a half
"""


def texts(result: Result) -> dict[str, str]:
    return {name: text if isinstance(text, str) else text.decode() for name, text in result.files.items()}


def test_one_extraction_writes_five_texts() -> None:
    files = write_all(MADE, LEXICON)
    assert sorted(files) == ["captions.vtt", "chapters.vtt", "note.en.md", "note.fr.md", "page.html"]
    assert all(text.endswith("\n") or name == "page.html" for name, text in files.items())
    assert write_all(MADE, LEXICON) == files


def test_an_empty_recording_is_written_too() -> None:
    result = run_job(b"WEBVTT\n\n00:01.000 --> 00:02.000\nwell\n", "empty.vtt", Options(), LEXICON)
    assert set(result.files) == {"record.json", *write_all(MADE, LEXICON)}


def test_masking_reaches_every_file() -> None:
    open_files = texts(run_job(TALK.encode(), "zorblatt.vtt", Options(), LEXICON))
    hidden = texts(run_job(TALK.encode(), "zorblatt.vtt", Options(mask=True), LEXICON))
    for name in ("record.json", "captions.vtt", "note.fr.md"):
        assert "zorblatt" in open_files[name].casefold(), name
    for name, text in hidden.items():
        assert "zorblatt" not in text.casefold(), name


def test_the_surgeons_word_reaches_the_note() -> None:
    fact = '[[fact]]\nfield = "complications"\ndo = "add"\nnow = { concept = "gusher", status = "negated" }\n'
    word = 'by = "surgeon"\n' + fact
    result = run_job(TALK.encode(), "talk.vtt", Options(corrections=word, corrections_name="word.toml"), LEXICON)
    assert "No gusher (the surgeon’s word)." in texts(result)["note.en.md"]
    assert "Pas de geyser (mot du chirurgien)." in texts(result)["note.fr.md"]
    assert result.record.made_by.options["corrections"]
    assert [c.target for c in result.record.corrections] == ["complications:gusher"]


@pytest.mark.parametrize(
    ("command", "begins"),
    [
        (["note", "--language", "fr", "--as", "txt"], "COMPTE RENDU OPÉRATOIRE"),
        (["note", "--as", "html"], "<!doctype html>"),
        (["captions", "--as", "srt"], "1\n00:00:00,000 -->"),
        (["captions", "--heard"], "WEBVTT"),
        (["chapters", "--language", "fr", "--as", "text"], "0:00 Présentation"),
        (["chapters", "--as", "json"], "{"),
    ],
)
def test_commands_write_one_thing_from_a_record(command: list[str], begins: str, tmp_path: Path) -> None:
    path = tmp_path / "record.json"
    path.write_text(dump_record(MADE), "utf-8")
    result = CliRunner().invoke(main, [command[0], str(path), *command[1:]])
    assert result.exit_code == 0, result.output
    assert result.output.startswith(begins)


def test_the_drafted_file_goes_back_in(tmp_path: Path) -> None:
    source, draft, out = tmp_path / "talk.vtt", tmp_path / "word.toml", tmp_path / "out"
    source.write_text(TALK, "utf-8")
    runner = CliRunner()
    first = runner.invoke(main, ["extract", str(source), "--out", str(out), "--write-corrections", str(draft)])
    assert first.exit_code == 0, first.output
    before = json.loads((out / "talk" / "record.json").read_text("utf-8"))
    text = draft.read_text("utf-8").replace(
        'item = "blood-loss"\ndo = "?"\ntext = ""', 'item = "blood-loss"\ndo = "add"\ntext = "5 mL"'
    )
    draft.write_text(text, "utf-8")
    second = runner.invoke(main, ["extract", str(source), "--out", str(out), "--corrections", str(draft)])
    assert second.exit_code == 0, second.output
    after = json.loads((out / "talk" / "record.json").read_text("utf-8"))
    assert after["case"] == before["case"]
    assert [c["now"] for c in after["corrections"]] == ["5 mL"]
    assert "Pertes sanguines estimées (s’il y a lieu)\u00a0: 5\u00a0mL" in (out / "talk" / "note.fr.md").read_text(
        "utf-8"
    )


def test_a_broken_corrections_file_is_one_plain_line(tmp_path: Path) -> None:
    source, word = tmp_path / "talk.vtt", tmp_path / "word.toml"
    source.write_text(TALK, "utf-8")
    word.write_text("[[repair]]\nline = 3\n", "utf-8")
    word.write_text('[[repair]]\nlin = "line-1"\n', "utf-8")
    result = CliRunner().invoke(
        main, ["extract", str(source), "--out", str(tmp_path / "o"), "--corrections", str(word)]
    )
    assert result.exit_code == 1
    assert "word.toml, [[repair]] 1: unknown key 'lin'" in result.output
    assert "Did you mean 'line'?" in result.output
