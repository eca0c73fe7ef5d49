"""Many recordings: mirrored, resumable, deaf to one bad file, whole or not at all."""

from __future__ import annotations

import csv
import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from deadly import die_on_second
from otochron.batch import find_items, make_plan, run_batch, write_failures
from otochron.batch.state import read_mark
from otochron.batch.work import Done
from otochron.errors import WriteError
from otochron.job import Options
from otochron.lexicon import load

TALK = [
    "[0:00] right ear under general anaesthesia",
    "[0:20] i raise the tympanomeatal flap",
    "[0:40] the footplate is fixed and the incus is mobile",
    "[1:00] the piston is four and a half millimetres by zero point six",
]


def talks(folder: Path, count: int) -> Path:
    for n in range(count):
        place = folder / f"ward-{n % 3}" / f"case-{n:03d}.md"
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text("\n".join([*TALK, f"[1:{20 + n % 30}] number {n} is done"]) + "\n", "utf-8")
    return folder


def otochron(*args: str, check: bool = False) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "otochron", *args], capture_output=True, text=True, check=check)


def contents(out: Path) -> dict[str, bytes]:
    return {
        p.relative_to(out).as_posix(): p.read_bytes()
        for p in sorted(out.rglob("*"))
        if p.is_file() and ".otochron" not in p.parts
    }


def test_batch_mirrors_paths_keeps_what_is_done_and_writes_tables(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 3), tmp_path / "out"
    first = otochron("batch", str(source), "--out", str(out))
    assert first.returncode == 0, first.stderr
    assert first.stdout.startswith("3 made, 0 kept, 0 failed")
    assert (out / "ward-1" / "case-001" / "record.json").is_file()
    with (out / "tables" / "recordings.csv").open(newline="", encoding="utf-8") as file:
        assert [row["side"] for row in csv.DictReader(file)] == ["right"] * 3
    before = contents(out)
    again = otochron("batch", str(source), "--out", str(out))
    assert again.stdout.startswith("0 made, 3 kept, 0 failed")
    assert contents(out) == before


def test_batch_does_again_what_changed(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 2), tmp_path / "out"
    otochron("batch", str(source), "--out", str(out), check=True)
    (source / "ward-0" / "case-000.md").write_text("[0:00] left ear\n", "utf-8")
    assert otochron("batch", str(source), "--out", str(out)).stdout.startswith("1 made, 1 kept, 0 failed")
    assert otochron("batch", str(source), "--out", str(out), "--mask").stdout.startswith("2 made, 0 kept, 0 failed")


def test_batch_goes_on_after_bad_files_and_names_each(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 2), tmp_path / "out"
    (source / "empty.vtt").write_bytes(b"")
    (source / "broken.json").write_text('{"segments": [', "utf-8")
    (source / "=formula.srt").write_text("no times here", "utf-8")
    done = otochron("batch", str(source), "--out", str(out), "--jobs", "2")
    assert done.returncode == 3
    assert "Traceback" not in done.stderr
    with (out / "failures.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["path"] for row in rows] == ["'=formula.srt", "broken.json", "empty.vtt"]
    assert all(row["reason"] for row in rows)
    assert (out / "ward-0" / "case-000" / "record.json").is_file()


def test_items_that_differ_in_suffix_keep_it(tmp_path: Path) -> None:
    for name in ("talk.vtt", "talk.srt", "other.vtt", ".hidden.vtt", "video.mp4"):
        (tmp_path / name).write_text("x", "utf-8")
    assert [(i.path, i.folder) for i in find_items(tmp_path, tmp_path / "out")] == [
        ("other.vtt", "other"),
        ("talk.srt", "talk-srt"),
        ("talk.vtt", "talk-vtt"),
    ]


def test_batch_killed_at_random_moments_loses_and_repeats_nothing(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 12), tmp_path / "out"
    whole = tmp_path / "whole"
    otochron("batch", str(source), "--out", str(whole), check=True)
    rng = random.Random(1)
    for _ in range(int(os.environ.get("OTOCHRON_KILLS", "3"))):
        process = subprocess.Popen(
            [sys.executable, "-m", "otochron", "batch", str(source), "--out", str(out), "--jobs", "2"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        time.sleep(rng.uniform(1.0, 6.0))
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        for record in out.rglob("record.json"):
            json.loads(record.read_text("utf-8"))
    done = otochron("batch", str(source), "--out", str(out), "--jobs", "2")
    assert done.returncode == 0, done.stderr
    assert contents(out) == contents(whole)


def _tell(_done: Done) -> None:
    """Say nothing."""


def test_a_file_that_vanishes_and_one_that_cannot_be_read_are_failures(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 2), tmp_path / "out"
    lexicon = load()
    plan = make_plan(source, out, Options(), (), lexicon)
    items = list(find_items(source, out))
    (source / items[0].path).unlink()
    summary = run_batch(plan, items, 1, _tell)
    assert (summary.made, [path for path, _ in summary.failures]) == (1, [items[0].path])
    assert "cannot be read" in summary.failures[0][1]
    assert read_mark(out, items[1]) is not None
    write_failures(out, summary.failures)
    assert (out / "failures.csv").is_file()


def test_a_worker_that_is_killed_costs_one_recording(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source, out = talks(tmp_path / "in", 4), tmp_path / "out"
    plan = make_plan(source, out, Options(), (), load())
    monkeypatch.setattr("otochron.batch.run.do_item", die_on_second)
    summary = run_batch(plan, find_items(source, out), 1, _tell)
    assert summary.made == 3
    ((path, reason),) = summary.failures
    assert path.endswith("case-001.md")
    assert "was killed" in reason


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="rights do not bind the superuser")
def test_a_folder_that_cannot_be_written_is_one_plain_line(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 1), tmp_path / "out"
    out.mkdir(mode=0o500)
    done = otochron("batch", str(source), "--out", str(out))
    assert done.returncode == 1
    assert "cannot be" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_full_disk_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from otochron import files

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(WriteError, match="No space left"):
        files.write_whole(tmp_path / "a" / "record.json", "text")
    assert list((tmp_path / "a").iterdir()) == []


def test_nothing_asks_for_the_network(tmp_path: Path) -> None:
    talk = str(talks(tmp_path / "in", 1) / "ward-0" / "case-000.md")
    code = (
        "import socket\n"
        "def refuse(*a, **k): raise AssertionError('a socket was opened')\n"
        "socket.socket.connect = refuse; socket.create_connection = refuse; socket.getaddrinfo = refuse\n"
        "from otochron.cli import main\n"
        f"main(['extract', {talk!r}, '--out', {str(tmp_path / 'o')!r}])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
