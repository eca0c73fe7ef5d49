"""Many recordings: mirrored, resumable, deaf to one bad file, whole or not at all."""

from __future__ import annotations

import contextlib
import csv
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from deadly import die_on_second
from forked import otochron_run, start, warm_lexicon
from killed import contents, group
from otochron.batch import find_items, make_plan, run_batch, write_failures
from otochron.batch.pool import _context
from otochron.batch.state import read_mark
from otochron.batch.work import Done
from otochron.errors import WriteError
from otochron.job import Options
from recordings import make_recordings

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
    otochron_run("batch", str(source), "--out", str(out))
    (source / "ward-0" / "case-000.md").write_text("[0:00] left ear\n", "utf-8")
    assert otochron_run("batch", str(source), "--out", str(out)).stdout.startswith("1 made, 1 kept, 0 failed")
    assert otochron_run("batch", str(source), "--out", str(out), "--mask").stdout.startswith("2 made, 0 kept, 0 failed")


def test_batch_goes_on_after_bad_files_and_names_each(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 2), tmp_path / "out"
    (source / "empty.vtt").write_bytes(b"")
    (source / "broken.json").write_text('{"segments": [', "utf-8")
    (source / "=formula.srt").write_text("no times here", "utf-8")
    done = otochron_run("batch", str(source), "--out", str(out), "--jobs", "2")
    assert done.returncode == 3
    assert "Traceback" not in done.stderr
    with (out / "failures.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["path"] for row in rows] == ["'=formula.srt", "broken.json", "empty.vtt"]
    assert all(row["reason"].removeprefix("'").startswith(row["path"].removeprefix("'")) for row in rows)
    assert (out / "ward-0" / "case-000" / "record.json").is_file()


def test_items_that_differ_in_suffix_keep_it(tmp_path: Path) -> None:
    for name in ("talk.vtt", "talk.srt", "other.vtt", ".hidden.vtt", "video.mp4"):
        (tmp_path / name).write_text("x", "utf-8")
    assert [(i.path, i.folder) for i in find_items(tmp_path, tmp_path / "out")] == [
        ("other.vtt", "other"),
        ("talk.srt", "talk-srt"),
        ("talk.vtt", "talk-vtt"),
    ]


def _tell(_done: Done) -> None:
    """Say nothing."""


def test_a_file_that_vanishes_and_one_that_cannot_be_read_are_failures(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 2), tmp_path / "out"
    lexicon = warm_lexicon()
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
    plan = make_plan(source, out, Options(), (), warm_lexicon())
    monkeypatch.setattr("otochron.batch.pool.do_item", die_on_second)
    summary = run_batch(plan, find_items(source, out), 1, _tell)
    assert summary.made == 3
    ((path, reason),) = summary.failures
    assert path.endswith("case-001.md")
    assert "was killed" in reason


def test_a_full_disk_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from otochron import files

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(WriteError, match="No space left"):
        files.write_whole(tmp_path / "a" / "record.json", "text")
    assert list((tmp_path / "a").iterdir()) == []


def test_nothing_asks_for_the_network(tmp_path: Path) -> None:
    """Sockets of every kind are refused, in the workers too, which are forked."""
    source, out = talks(tmp_path / "in", 2), tmp_path / "o"
    talk = str(source / "ward-0" / "case-000.md")
    code = (
        "import socket, _socket\n"
        "def refuse(*a, **k): raise AssertionError('a socket was opened')\n"
        "socket.socket.__init__ = refuse; socket.create_connection = refuse; socket.getaddrinfo = refuse\n"
        "from otochron.cli import main\n"
        f"main(['extract', {talk!r}, '--out', {str(tmp_path / 'x')!r}], standalone_mode=False)\n"
        f"main(['batch', {str(source)!r}, '--out', {str(out)!r}, '--jobs', '2'])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "2 made, 0 kept, 0 failed" in done.stdout


def test_processes_begin_anew_and_no_recording_is_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source, out = talks(tmp_path / "in", 5), tmp_path / "out"
    plan = make_plan(source, out, Options(), (), warm_lexicon())
    monkeypatch.setattr("otochron.batch.pool._PER_PROCESS", 1)
    told: list[str] = []
    summary = run_batch(plan, find_items(source, out), 2, lambda done: told.append(done.item.path))
    assert (summary.made, summary.failures) == (5, [])
    assert sorted(told) == sorted(item.path for item in find_items(source, out))


@pytest.mark.skipif(os.name != "posix", reason="this system has no such rights")
def test_what_is_written_is_readable_by_its_owner_only(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 2), tmp_path / "new" / "out"
    assert otochron_run("batch", str(source), "--out", str(out), before=lambda: os.umask(0) and None).returncode == 0
    paths = [out.parent, out, *out.rglob("*")]
    assert {p.stat().st_mode & 0o777 for p in paths if p.is_dir()} == {0o700}
    assert {p.stat().st_mode & 0o777 for p in paths if p.is_file()} == {0o600}


def test_no_two_items_share_a_folder_and_the_output_is_no_input(tmp_path: Path) -> None:
    for name in ("talk.vtt", "talk.srt", "talk-vtt.md", "out/old/record.json", "deep/talk.vtt", "deep.txt"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("x", "utf-8")
    os.mkfifo(tmp_path / "pipe.txt") if hasattr(os, "mkfifo") else None
    assert [(i.path, i.folder) for i in find_items(tmp_path, tmp_path / "out")] == [
        ("deep/talk.vtt", "deep/talk"),
        ("deep.txt", "deep"),
        ("talk-vtt.md", "talk-vtt"),
        ("talk.srt", "talk-srt"),
        ("talk.vtt", "talk-vtt-"),
    ]
    assert [i.path for i in find_items(tmp_path, tmp_path / "out", ("*.srt",))] == ["talk.srt"]


@pytest.mark.skipif(sys.platform != "linux", reason="names of files are text on this system")
def test_a_name_that_is_no_utf_8_is_done_and_shown(tmp_path: Path) -> None:
    source, out = talks(tmp_path / "in", 1), tmp_path / "out"
    for name in (b"oreille-\xe9.md", b"bad-\xe9.md"):
        text = "[0:00] oreille droite\n" if name.startswith(b"o") else "no times"
        Path(os.fsdecode(os.fsencode(source) + b"/" + name)).write_text(text, "utf-8")
    done = otochron_run("batch", str(source), "--out", str(out))
    assert done.returncode == 3, done.stderr
    assert done.stdout.startswith("2 made, 0 kept, 1 failed")
    assert "bad-\ufffd.md" in (out / "failures.csv").read_text("utf-8")
    assert "oreille-\ufffd.md" in (out / "tables" / "recordings.csv").read_text("utf-8")


def test_the_output_must_be_another_folder(tmp_path: Path) -> None:
    source = talks(tmp_path / "in", 1)
    done = otochron_run("batch", str(source), "--out", str(source))
    assert done.returncode == 2
    assert "another folder" in done.stderr


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
def test_a_terminal_sees_progress_with_rate_and_time_left(tmp_path: Path) -> None:
    import pty

    ours, theirs = pty.openpty()
    wait = start(
        "batch",
        str(talks(tmp_path / "in", 3)),
        "--out",
        str(tmp_path / "out"),
        before=lambda: os.dup2(theirs, 2) and None,
    )
    os.close(theirs)
    shown = b""
    with contextlib.suppress(OSError):  # the end of a pseudo-terminal is an error on Linux
        while data := os.read(ours, 4096):
            shown += data
    os.close(ours)
    assert wait().returncode == 0
    assert b"3/3" in shown
    assert b"/min" in shown
    assert b"0:00:0" in shown


@pytest.mark.skipif(os.name != "posix", reason="sends a signal")
def test_ctrl_c_is_one_plain_line_and_the_next_run_goes_on(tmp_path: Path) -> None:
    source, out = make_recordings(tmp_path / "in", 30, 0.2), tmp_path / "out"
    wait = start("batch", str(source), "--out", str(out), "--jobs", "2")
    while not list(out.glob("*/*/record.json")):
        time.sleep(0.02)
    os.killpg(wait.pid, signal.SIGINT)
    done = wait()
    assert (done.returncode, done.stderr) == (1, "otochron: stopped. What is done stays; start again to go on.\n")
    again = otochron_run("batch", str(source), "--out", str(out))
    assert again.returncode == 0
    assert int(again.stdout.split()[2]) > 0


@pytest.mark.skipif(sys.platform != "linux", reason="looks for processes in /proc")
def test_a_worker_killed_from_outside_costs_nothing_or_one_clear_line(tmp_path: Path) -> None:
    source, out = make_recordings(tmp_path / "in", 12, 0.2), tmp_path / "out"
    wait = start("batch", str(source), "--out", str(out), "--jobs", "2")
    while not list(out.glob("*/*/record.json")):
        time.sleep(0.02)
    worker = next(pid for pid in group(wait.pid) if pid != wait.pid)
    os.kill(worker, signal.SIGKILL)
    done = wait()
    assert done.returncode == 0, done.stderr
    made, kept = int(done.stdout.split()[0]), int(done.stdout.split()[2])
    assert made + kept == 12, "its recording is tried once more, alone"


def test_beside_other_threads_processes_begin_anew(tmp_path: Path) -> None:
    """A fork would copy the locks that other threads hold; a library is used beside them."""
    source = talks(tmp_path / "in", 2)
    lexicon, results = warm_lexicon(), []
    for name in ("alone", "beside"):
        ended = threading.Event()
        other = threading.Thread(target=ended.wait)
        if name == "beside":
            other.start()
            assert _context().get_start_method() == "spawn"
        plan = make_plan(source, tmp_path / name, Options(), (), lexicon)
        summary = run_batch(plan, find_items(source, tmp_path / name), 1, _tell)
        ended.set()
        assert (summary.made, summary.failures) == (2, [])
        results.append(contents(tmp_path / name))
    assert results[0] == results[1]
