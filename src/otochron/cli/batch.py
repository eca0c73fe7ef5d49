"""``otochron batch``: many recordings."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from otochron.cli.common import check_date, lexicon_option, load_lexicon

if TYPE_CHECKING:
    from otochron.batch import Item, Summary
    from otochron.batch.work import Done, Plan
    from otochron.lexicon import Lexicon

_FAILED = 3
_SHOWN = 5
"""Failures that are shown on the terminal; all are in the file."""


@click.command()
@click.argument("source", metavar="DIR", type=click.Path(readable=False, path_type=Path))
@click.option(
    "--out",
    required=True,
    metavar="DIR",
    type=click.Path(readable=False, path_type=Path),
    help="Folder for the results.",
)
@click.option("--jobs", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes at once.")
@click.option("--pattern", "patterns", multiple=True, help="Only names that match, as *.vtt; may be given again.")
@click.option(
    "--reader",
    type=click.Choice(["webvtt", "srt", "ttml", "blocks", "segments"]),
    help="Force a format for all.",
)
@click.option("--date", metavar="YYYY-MM-DD", callback=check_date, help="Day of the operation, if one for all.")
@click.option("--mask", is_flag=True, help="Hide spoken personal data in every output.")
@lexicon_option
def batch(
    source: Path,
    out: Path,
    jobs: int,
    patterns: tuple[str, ...],
    reader: str | None,
    date: str | None,
    mask: bool,
    overlays: tuple[str, ...],
) -> None:
    """Extract every transcript below DIR: resumable, and one bad file never stops the rest.

    What is done already (same content, options, word lists and version) is kept. Ends with a summary, failures.csv
    if there were any (exit 3), and the research tables in OUT/tables.
    """
    # One process works on one recording; threads of the linear algebra would only disturb the others.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from otochron.batch import find_items, make_plan, open_state, write_batch_tables, write_failures
    from otochron.errors import ReadError
    from otochron.job import Options

    if not source.is_dir():
        raise ReadError(source, "is not a folder", "a folder of transcripts", "Check the path.")
    if not os.access(source, os.R_OK | os.X_OK):
        raise ReadError(source, "cannot be read (Permission denied)", "a folder that you may read", "Check its rights.")
    if source.resolve() == out.resolve():
        raise click.UsageError("--out must be another folder than DIR")
    total = sum(1 for _ in find_items(source, out, patterns))
    if not total:
        raise ReadError(
            source,
            "holds no transcript",
            "files such as .vtt, .srt, .ttml, .json, .md or .txt",
            "Check the path.",
        )
    lexicon = load_lexicon(overlays)
    open_state(out)
    plan = make_plan(source, out, Options(date=date, reader=reader, mask=mask), overlays, lexicon)
    try:
        summary = _run(plan, lambda: find_items(source, out, patterns), total, jobs, lexicon)
    except KeyboardInterrupt:
        click.echo("otochron: stopped. What is done stays; start again to go on.", err=True)
        raise click.exceptions.Exit(1) from None
    failures = summary.failures
    untold = _untold(lambda: write_failures(out, failures))
    counted: list[int] = []
    failed = {path for path, _ in failures}
    lost = _untold(lambda: counted.append(write_batch_tables(source, out, patterns, lexicon, failed)))
    click.echo(
        f"{summary.made} made, {summary.kept} kept, {len(failures)} failed; {summary.stops} checks to settle (stop)."
        + "".join(f" Tables of {count} recordings in {out / 'tables'}." for count in counted)
    )
    _tell_failures(failures, total, out, listed=not untold)
    if summary.full:
        left = total - summary.made - summary.kept - len(failures)
        click.echo(
            f"otochron: the disk is full; {left} not tried. Free space and start again: what is done stays.", err=True
        )
    for line in (*untold, *lost):
        click.echo(f"otochron: {line}", err=True)
    if failures or untold or lost:
        raise click.exceptions.Exit(_FAILED if failures else 1)


def _untold(write: Callable[[], None]) -> list[str]:
    """Write something at the end of a batch; give the line of what went wrong, so that the summary is still told."""
    from otochron.errors import WriteError

    try:
        write()
    except WriteError as error:
        return [error.line()]
    return []


def _tell_failures(failures: list[tuple[str, str]], total: int, out: Path, *, listed: bool) -> None:
    if not failures:
        return
    for path, reason in failures[:_SHOWN]:
        click.echo(f"  {reason}" if reason.startswith(path) else f"  {path}: {reason}", err=True)
    where = f"; see {out / 'failures.csv'}" if listed else ""
    click.echo(f"otochron: {len(failures)} of {total} failed{where}", err=True)


def _run(plan: Plan, items: Callable[[], Iterator[Item]], total: int, jobs: int, lexicon: Lexicon) -> Summary:
    """Run with a progress bar on a terminal, and without a word elsewhere."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from otochron.batch import is_new, run_batch, warm

    if is_new(Path(plan.out), items()):
        warm(lexicon)
    console = Console(stderr=True)
    if not console.is_terminal:
        return run_batch(plan, items(), jobs, lambda _done: None)
    rate = TextColumn("{task.fields[rate]}")
    columns = (TextColumn("recordings"), BarColumn(), MofNCompleteColumn(), rate, TimeRemainingColumn())
    # Drawn when a recording is done, not by a thread of its own: processes are forked only where there is none.
    with Progress(*columns, console=console, transient=True, auto_refresh=False) as progress:
        task = progress.add_task("", total=total, rate="")

        def tell(done: Done) -> None:
            del done
            speed = progress.tasks[0].speed
            progress.update(task, advance=1, rate=f"{60 * speed:.0f}/min" if speed else "", refresh=True)

        return run_batch(plan, items(), jobs, tell)
