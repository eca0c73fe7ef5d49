"""Batches: 1 and 2 jobs side by side, 500 recordings against the clock, memory at 100, 1,000 and 5,000 recordings.

``python tests/bench/bench_batch.py [jobs] [many] [memory]`` runs the named parts, all without a name. Recordings are
generated (``tests/recordings.py``); how long they are is printed. Bars: 2 jobs at least 1.7 times 1 job on two
cores; 500 recordings in under 5 minutes; peak memory of parent and of workers flat within 20 %.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests")]

from recordings import make_recordings  # noqa: E402

MINUTES = 5.0
"""Length of a recording where the time is measured."""
SHORT = 0.05
"""Length where only the memory is measured: three seconds of talk."""


def batch(source: Path, out: Path, jobs: int) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "otochron", "batch", str(source), "--out", str(out), "--jobs", str(jobs)]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL)


def seconds(source: Path, out: Path, jobs: int) -> tuple[float, float]:
    """Give the time that passed, and the time that processors worked on it."""
    before, start = os.times(), time.perf_counter()
    assert batch(source, out, jobs).wait() == 0
    took, after = time.perf_counter() - start, os.times()
    worked = after.children_user + after.children_system - before.children_user - before.children_system
    return took, worked


def side_by_side(folder: Path, count: int = 100, rounds: int = 2) -> None:
    """Alternate 1 and 2 jobs, so that other work on the machine meets both."""
    source = make_recordings(folder / "in", count, MINUTES, seed=1)
    best: dict[int, float] = {}
    for n in range(rounds):
        for jobs in (1, 2):
            took, worked = seconds(source, folder / f"out-{n}-{jobs}", jobs)
            best[jobs] = min(took, best.get(jobs, took))
            print(
                f"  {jobs} jobs: {took:6.1f} s, processors {worked:6.1f} s, load {os.getloadavg()[0]:.1f}", flush=True
            )
    print(
        f"{count} recordings of {MINUTES:g} minutes, start and tables included, best of {rounds}: 1 job {best[1]:.1f} s, "
        f"2 jobs {best[2]:.1f} s, {best[1] / best[2]:.2f} times (bar 1.7)",
        flush=True,
    )


def many(folder: Path, count: int = 500) -> None:
    source = make_recordings(folder / "in", count, MINUTES, seed=2)
    took, worked = seconds(source, folder / "out", 2)
    print(
        f"{count} recordings of {MINUTES:g} minutes, 2 jobs: {took:.0f} s (bar 300), processors {worked:.0f} s "
        f"({worked / 2:.0f} s on two free cores), load {os.getloadavg()[0]:.1f}",
        flush=True,
    )


def memory(folder: Path, counts: tuple[int, ...] = (100, 1000, 5000)) -> None:
    """Peak resident memory as the kernel counts it, by process; a worker's holds what it shares with its parent."""
    first: dict[str, float] = {}
    for count in counts:
        source = make_recordings(folder / f"in-{count}", count, SHORT, seed=3)
        start = time.perf_counter()
        peaks = watch(batch(source, folder / f"out-{count}", 2))
        took = time.perf_counter() - start
        for name, peak in peaks.items():
            first.setdefault(name, peak)
        shown = ", ".join(f"{n} {p:.0f} MB ({100 * p / first[n] - 100:+.0f} %)" for n, p in peaks.items())
        print(f"{count} recordings of {60 * SHORT:g} s, 2 jobs, {took:.0f} s: {shown} (bar 20 %)", flush=True)


def watch(process: subprocess.Popen[bytes]) -> dict[str, float]:
    """Give the peaks in MB of the parent and of its largest worker."""
    peaks = {"parent": 0.0, "worker": 0.0}
    ended = threading.Event()

    def look() -> None:
        while not ended.wait(0.2):
            for name, pids in (("parent", [process.pid]), ("worker", children(process.pid))):
                peaks[name] = max([peaks[name], *(peak(pid) for pid in pids)])

    watcher = threading.Thread(target=look)
    watcher.start()
    assert process.wait() == 0
    ended.set()
    watcher.join()
    return peaks


def children(pid: int) -> list[int]:
    try:
        return [int(p) for p in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        return []


def peak(pid: int) -> float:
    try:
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    except OSError:
        return 0.0
    return max((int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM")), default=0.0)


def main() -> None:
    parts = {"jobs": side_by_side, "many": many, "memory": memory}
    for name in sys.argv[1:] or parts:
        with tempfile.TemporaryDirectory() as folder:
            parts[name](Path(folder))


if __name__ == "__main__":
    main()
