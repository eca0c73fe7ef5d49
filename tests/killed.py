"""Kill a batch at random moments: ``python tests/killed.py SOURCE OUT KILLS SEED``; each line it prints is one kill.

Loading the word lists takes longer than a small batch, so that is done once here; each batch is then forked, runs
the command as it stands, in a process group of its own, and is killed with ``SIGKILL``: the whole group, or in every third
round only the process that was started. A moment is a random number of recordings later, and a random time after that. After each kill every file that can be seen is compared with the same file of a
batch that ran undisturbed (``OUT.whole``).
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]


def contents(out: Path) -> dict[str, bytes]:
    """Give every file of an output that a user sees."""
    paths = (p for p in out.rglob("*") if p.is_file() and not any(x.startswith(".") for x in p.relative_to(out).parts))
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in sorted(paths)}


def marks(out: Path) -> dict[str, int]:
    """Give the recordings that the batch holds to be done, with the time at which their record was written."""
    found = {}
    for path in (out / ".otochron" / "done").glob("*.json"):
        mark = json.loads(path.read_text("utf-8"))
        record = out / Path(mark["path"]).with_suffix("") / "record.json"
        found[mark["path"]] = record.stat().st_mtime_ns
    return found


def group(leader: int) -> list[int]:
    """Give the processes of a group that still run."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _parent, of = path.read_text().rsplit(") ", 1)[1].split()[:3]
        except OSError:
            continue
        if int(of) == leader and state not in "ZX":
            found.append(int(path.parent.name))
    return found


def await_marks(out: Path, leader: int, count: int) -> None:
    """Wait until so many recordings are done, or until the batch ended by itself."""
    folder = out / ".otochron" / "done"
    while group(leader) and (len(list(folder.glob("*.json"))) if folder.is_dir() else 0) < count:
        time.sleep(0.005)


def begin(source: Path, out: Path) -> int:
    """Fork the command, in a process group of its own."""
    sys.stdout.flush()
    child = os.fork()
    if child:
        return child
    os.setsid()
    null = os.open(os.devnull, os.O_RDWR)
    log = os.open(f"{out}.log", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    for handle, to in ((0, null), (1, log), (2, log)):
        os.dup2(null if handle == 0 else to, handle)
    from otochron.cli import main

    status = 1
    try:
        main(["batch", str(source), "--out", str(out), "--jobs", "2"], standalone_mode=False)
        status = 0
    finally:
        os._exit(status)


def run(source: Path, out: Path, kills: int, seed: int) -> None:
    """Kill so many times, then let the batch end."""
    import otochron.batch
    import otochron.cli.batch
    from otochron.batch import warm
    from otochron.lexicon import load

    lexicon = load()
    warm(lexicon)
    otochron.cli.batch.load_lexicon = lambda _overlays: lexicon
    otochron.batch.warm = lambda _lexicon: None
    whole = Path(f"{out}.whole")
    start = time.perf_counter()
    assert os.waitpid(begin(source, whole), 0)[1] == 0, "the undisturbed batch failed"
    took = time.perf_counter() - start
    wanted = contents(whole)
    count = len(marks(whole))
    print(f"seed {seed}; undisturbed {took:.1f} s", flush=True)
    rng = random.Random(seed)
    done: dict[str, int] = {}
    for n in range(1, kills + 1):
        alone, more, wait = n % 3 == 0, rng.randint(0, 2 * count // kills), rng.uniform(0, 3 * took / count)
        leader = begin(source, out)
        await_marks(out, leader, len(done) + more)
        time.sleep(wait)
        (os.kill if alone else os.killpg)(leader, signal.SIGKILL)
        os.waitpid(leader, 0)
        ends = time.perf_counter() + 20
        while group(leader):
            assert time.perf_counter() < ends, "processes outlive the batch that was killed"
            time.sleep(0.01)
        seen = contents(out) if out.is_dir() else {}
        bad = [name for name, data in seen.items() if wanted.get(name) != data]
        assert not bad, f"kill {n}: half-written or wrong: {bad[:3]}"
        now = marks(out)
        again = [path for path, when in done.items() if now.get(path) != when]
        assert not again, f"kill {n}: lost or done twice: {again[:3]}"
        done = now
        print(
            f"kill {n} at {more} more and {wait:.2f} s{' (parent alone)' if alone else ''}: {len(done)} done",
            flush=True,
        )
    assert os.waitpid(begin(source, out), 0)[1] == 0, "the last batch failed"
    now = marks(out)
    assert all(now[path] == when for path, when in done.items()), "done twice"
    assert contents(out) == wanted, "not the same as undisturbed"
    left = [str(p) for p in out.rglob("*.part")]
    assert not left, f"left behind: {left[:3]}"
    print(Path(f"{out}.log").read_text("utf-8").splitlines()[-1])


if __name__ == "__main__":
    run(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
