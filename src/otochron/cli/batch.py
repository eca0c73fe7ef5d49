"""``otochron batch``: many recordings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from otochron.cli.common import check_date, lexicon_option, load_lexicon

if TYPE_CHECKING:
    from otochron.batch import Item, Summary
    from otochron.batch.work import Done, Plan

_FAILED = 3


@click.command()
@click.argument("source", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--out", required=True, metavar="DIR", type=click.Path(path_type=Path), help="Folder for the results.")
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
    from otochron import files
    from otochron.batch import find_items, make_plan, write_batch_tables, write_failures
    from otochron.errors import ReadError
    from otochron.job import Options

    if not source.is_dir():
        raise ReadError(source, "is not a folder", "a folder of transcripts", "Check the path.")
    lexicon = load_lexicon(overlays)
    files.write_whole(
        out / ".otochron" / "README", "What otochron batch remembers between runs. Delete it to start anew.\n"
    )
    items = list(find_items(source, out, patterns))
    if not items:
        raise ReadError(
            source,
            "holds no transcript",
            "files such as .vtt, .srt, .ttml, .json, .md or .txt",
            "Check the path.",
        )
    plan = make_plan(source, out, Options(date=date, reader=reader, mask=mask), overlays, lexicon)
    summary = _run(plan, items, jobs)
    write_failures(out, summary.failures)
    count = write_batch_tables(source, out, patterns, lexicon)
    click.echo(
        f"{summary.made} made, {summary.kept} kept, {len(summary.failures)} failed; {summary.stops} checks to settle "
        f"(stop). Tables of {count} recordings in {out / 'tables'}."
    )
    if summary.failures:
        for path, reason in summary.failures[:5]:
            click.echo(f"  {path}: {reason}", err=True)
        click.echo(f"otochron: {len(summary.failures)} of {len(items)} failed; see {out / 'failures.csv'}", err=True)
        raise click.exceptions.Exit(_FAILED)


def _run(plan: Plan, items: list[Item], jobs: int) -> Summary:
    """Run with a progress bar on a terminal, and without a word elsewhere."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from otochron.batch import run_batch

    console = Console(stderr=True)
    if not console.is_terminal:
        return run_batch(plan, items, jobs, lambda _done: None)
    rate = TextColumn("{task.fields[rate]}")
    columns = (TextColumn("recordings"), BarColumn(), MofNCompleteColumn(), rate, TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("", total=len(items), rate="")

        def tell(done: Done) -> None:
            del done
            speed = progress.tasks[0].speed
            progress.update(task, advance=1, rate=f"{60 * speed:.0f}/min" if speed else "")

        return run_batch(plan, items, jobs, tell)
