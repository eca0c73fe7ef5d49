"""Run the command in a forked process that has the word lists already; loading them anew each time takes long."""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from otochron.lexicon import Lexicon, load


@dataclass(frozen=True)
class Ran:
    """How a command ended."""

    returncode: int
    stdout: str
    stderr: str


@cache
def warm_lexicon() -> Lexicon:
    """Give the shipped word lists, with all that is made of them at the first recording."""
    from otochron.batch import warm

    lexicon = load()
    warm(lexicon)
    return lexicon


def drop_rights() -> None:
    """Bind the superuser by the rights of files too, as every other user is (Linux: CAP_DAC_OVERRIDE, READ_SEARCH)."""
    libc = ctypes.CDLL(None, use_errno=True)
    header = (ctypes.c_uint32 * 2)(0x20080522, 0)
    data = (ctypes.c_uint32 * 6)()
    if libc.capget(header, data):
        raise OSError("capget")
    for n in range(3):
        data[n] &= ~0b110
    if libc.capset(header, data):
        raise OSError("capset")


def start(*args: str, before: Callable[[], None] = lambda: None) -> Callable[[], Ran]:
    """Start the command; call what is given back to wait for its end."""
    lexicon = warm_lexicon()
    place = Path(tempfile.mkdtemp())
    streams = [os.open(place / name, os.O_RDWR | os.O_CREAT, 0o600) for name in ("out", "err")]
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if not child:
        status = 70
        with suppress(BaseException):
            os.setsid()
            os.dup2(streams[0], 1)
            os.dup2(streams[1], 2)
            sys.stdin, sys.stdout, sys.stderr = open(os.devnull), open(1, "w"), open(2, "w")  # noqa: SIM115, PTH123
            status = _run(args, before, lexicon)
        os._exit(status)

    def wait() -> Ran:
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        texts = [(place / name).read_text("utf-8") for name in ("out", "err")]
        for handle in streams:
            os.close(handle)
        shutil.rmtree(place)
        return Ran(status, *texts)

    wait.pid = child  # type: ignore[attr-defined]
    return wait


def _run(args: tuple[str, ...], before: Callable[[], None], lexicon: Lexicon) -> int:
    import traceback

    import otochron.batch
    import otochron.cli.batch
    from otochron.cli import main

    otochron.cli.batch.load_lexicon = lambda overlays: load(*overlays) if overlays else lexicon
    otochron.batch.warm = lambda _lexicon: None
    try:
        before()
        main(list(args))
    except SystemExit as end:
        return int(end.code or 0)
    except BaseException:
        traceback.print_exc()
        return 71
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
    return 0


def otochron_run(*args: str, before: Callable[[], None] = lambda: None) -> Ran:
    """Run the command to its end."""
    return start(*args, before=before)()
