"""What goes wrong around a batch: each fault has its clear line, nothing is half-written, the next run completes."""

from __future__ import annotations

import contextlib
import csv
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from forked import drop_rights, otochron_run, start
from killed import contents
from recordings import make_recordings

pytestmark = pytest.mark.skipif(os.name != "posix", reason="forks the command")
MIB = 1 << 20


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_recordings(tmp_path_factory.mktemp("in"), 12, 0.1, seed=3)


@pytest.fixture(scope="module")
def whole(source: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    out = tmp_path_factory.mktemp("whole") / "out"
    assert otochron_run("batch", str(source), "--out", str(out), "--jobs", "2").returncode == 0
    return contents(out)


def parts(out: Path) -> list[Path]:
    return list(out.rglob("*.part"))


def reasons(out: Path) -> dict[str, str]:
    with (out / "failures.csv").open(newline="", encoding="utf-8") as file:
        return {row["path"]: row["reason"] for row in csv.DictReader(file)}


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of half a MiB, where this user may mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=512k,mode=700", "tmpfs", str(place)], capture_output=True, text=True
    )
    if made.returncode:
        pytest.skip(f"no small disk can be mounted here: {made.stderr.strip()}")
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=False)


@pytest.mark.skipif(not Path("/bin/mount").exists(), reason="no mount on this system")
def test_a_full_disk_is_told_and_the_next_run_completes(
    source: Path, whole: dict[str, bytes], small_disk: Path
) -> None:
    out = small_disk / "out"
    done = otochron_run("batch", str(source), "--out", str(out), "--jobs", "2")
    assert done.returncode == 3
    assert "cannot be written (No space left on device)" in done.stderr
    assert "the disk is full" in done.stderr
    assert "Free space" in done.stderr
    assert "Traceback" not in done.stderr
    assert parts(out) == []
    assert [name for name, data in contents(out).items() if name != "failures.csv" and whole[name] != data] == []
    subprocess.run(["mount", "-o", "remount,size=64m", str(small_disk)], check=True)
    done = otochron_run("batch", str(source), "--out", str(out), "--jobs", "2")
    assert done.returncode == 0, done.stderr
    assert contents(out) == whole


def fill(ballast: Path) -> None:
    """Write until not one page of the disk is free."""
    with contextlib.suppress(OSError), ballast.open("wb") as file:
        while True:
            file.write(b"0" * MIB)
            file.flush()


@pytest.mark.skipif(not Path("/bin/mount").exists(), reason="no mount on this system")
def test_a_disk_that_is_full_for_the_tables_keeps_the_old_ones(
    source: Path, whole: dict[str, bytes], small_disk: Path
) -> None:
    subprocess.run(["mount", "-o", "remount,size=64m", str(small_disk)], check=True)
    out = small_disk / "out"
    assert otochron_run("batch", str(source), "--out", str(out)).returncode == 0
    fill(small_disk / "ballast")
    done = otochron_run("batch", str(source), "--out", str(out))
    assert done.returncode == 1
    assert done.stdout.startswith("0 made, 12 kept, 0 failed")
    assert "No space left on device" in done.stderr
    assert "Traceback" not in done.stderr
    assert parts(out) == []
    assert contents(out) == whole


def rights_bind() -> None:
    if os.geteuid() == 0:
        drop_rights()


def test_a_folder_that_cannot_be_written_is_one_plain_line(source: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir(mode=0o500)
    done = otochron_run("batch", str(source), "--out", str(out), before=rights_bind)
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "cannot be written (Permission denied); expected a writable place. Check the rights" in done.stderr
    assert list(out.iterdir()) == []


def test_files_and_folders_without_rights_are_failures_and_the_rest_goes_on(tmp_path: Path) -> None:
    source, out = make_recordings(tmp_path / "in", 4, 0.1), tmp_path / "out"
    files = sorted(source.rglob("case-*"))
    files[1].chmod(0)
    (source / "shut").mkdir()
    (source / "shut" / "case.md").write_text("[0:00] right ear\n", "utf-8")
    (source / "shut").chmod(0)
    (source / "nowhere.vtt").symlink_to("missing.vtt")
    (source / "readonly").mkdir()
    (source / "readonly" / "case.md").write_text("[0:00] left ear\n", "utf-8")
    (out / "readonly").mkdir(parents=True, mode=0o500)
    done = otochron_run("batch", str(source), "--out", str(out), "--jobs", "2", before=rights_bind)
    (source / "shut").chmod(0o700)
    assert done.returncode == 3
    assert "Traceback" not in done.stderr
    assert done.stdout.startswith("3 made, 0 kept, 4 failed")
    told = reasons(out)
    unreadable = files[1].relative_to(source).as_posix()
    assert sorted(told) == sorted([unreadable, "nowhere.vtt", "readonly/case.md", "shut"])
    assert told[unreadable].startswith(f"{unreadable}: cannot be read (Permission denied); expected a readable file")
    assert told["nowhere.vtt"].startswith("nowhere.vtt: cannot be read (No such file or directory)")
    assert "cannot be read (Permission denied)" in told["shut"]
    assert "cannot be written (Permission denied)" in told["readonly/case.md"]


def test_a_folder_that_cannot_be_read_at_all_is_one_plain_line(tmp_path: Path) -> None:
    source = tmp_path / "in"
    source.mkdir(mode=0)
    done = otochron_run("batch", str(source), "--out", str(tmp_path / "out"), before=rights_bind)
    source.chmod(0o700)
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert "cannot be read (Permission denied)" in done.stderr


def test_two_batches_on_one_folder_do_not_harm_each_other(
    source: Path, whole: dict[str, bytes], tmp_path: Path
) -> None:
    out = tmp_path / "out"
    both = [start("batch", str(source), "--out", str(out), "--jobs", "2") for _ in range(2)]
    ended = [wait() for wait in both]
    assert [done.returncode for done in ended] == [0, 0], ended
    assert sum(int(done.stdout.split()[0]) for done in ended) == 12, "each recording is made once"
    assert contents(out) == whole
    assert parts(out) == []


def test_200_recordings_killed_at_20_random_moments_lose_and_repeat_nothing(tmp_path: Path) -> None:
    """Nothing lost, doubled or half-written; the checks stand in ``tests/killed.py``, the seed is printed."""
    source = make_recordings(tmp_path / "in", 200, 0.05, seed=1)
    seed = int(os.environ.get("OTOCHRON_KILL_SEED", "1"))
    kills = os.environ.get("OTOCHRON_KILLS", "20")
    script = Path(__file__).parents[1] / "killed.py"
    done = subprocess.run(
        [sys.executable, str(script), str(source), str(tmp_path / "out"), kills, str(seed)],
        capture_output=True,
        text=True,
    )
    print(done.stdout)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count("kill ") == int(kills)
    assert "200 recordings" in done.stdout.splitlines()[-1]
