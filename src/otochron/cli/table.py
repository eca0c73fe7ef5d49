"""``otochron table``: research tables, samples for double coding, agreement."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from otochron.cli.common import lexicon_option, load_lexicon, read_record

if TYPE_CHECKING:
    from otochron.lexicon import Lexicon
    from otochron.writers.tables.write import Rows


@click.command()
@click.argument("records", nargs=-1, required=True, metavar="RECORD...")
@click.option(
    "--out",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Folder for the tables, or for the coding sheet.",
)
@click.option(
    "--sample",
    type=click.IntRange(min=1),
    metavar="N",
    help="Draw N recordings by operation; writes an empty coding sheet.",
)
@click.option("--seed", type=int, default=0, show_default=True, help="Seed of the draw and of the intervals.")
@click.option(
    "--coded",
    multiple=True,
    metavar="SHEET",
    help="A filled coding sheet; give it once per person. Prints the agreement.",
)
@lexicon_option
def table(
    records: tuple[str, ...],
    out: Path | None,
    sample: int | None,
    seed: int,
    coded: tuple[str, ...],
    overlays: tuple[str, ...],
) -> None:
    """Write research tables (CSV) of RECORDs with a codebook; a folder stands for every record.json below it.

    With --sample, draw recordings for double coding instead; with --coded, measure the agreement of coders.
    """
    from otochron import files
    from otochron.writers.tables import tables_text, write_codebook
    from otochron.writers.tables.coding import draw_sample, empty_sheet

    lexicon = load_lexicon(overlays)
    if coded:
        _print_agreement(records, coded, seed, lexicon)
        return
    if out is None:
        raise click.UsageError("say where to write with --out DIR")
    if sample is not None:
        rows = _recordings(records, lexicon)
        drawn = draw_sample(rows, sample, seed)
        files.write_folder(
            out, {"coding-sheet.csv": empty_sheet(drawn, lexicon), "codebook.md": write_codebook(lexicon)}
        )
        click.echo(f"{len(drawn)} of {len(rows)} recordings drawn (seed {seed}): {out / 'coding-sheet.csv'}")
        return
    count = 0

    def counted() -> Iterator[Rows]:
        nonlocal count
        for rows in _rows(records, lexicon):
            count += 1
            yield rows

    files.write_streamed(out, tables_text(counted(), lexicon))
    click.echo(f"Tables of {count} recordings in {out}")


def _rows(records: tuple[str, ...], lexicon: Lexicon) -> Iterator[Rows]:
    """Give the rows of each record, one at a time; a folder stands for every record.json below it."""
    from otochron.errors import RecordError
    from otochron.writers.tables import record_rows, tell_copies

    def each() -> Iterator[Rows]:
        for name in records:
            folder = Path(name)
            paths = [str(p) for p in sorted(folder.rglob("record.json"))] if folder.is_dir() else [name]
            if not paths:
                raise RecordError(
                    name, "holds no record.json", "a folder that extract or batch wrote", "Check the path."
                )
            for path in paths:
                yield record_rows(read_record(path), lexicon, os.fsencode(path).decode("utf-8", "replace"))

    return tell_copies(each())


def _recordings(records: tuple[str, ...], lexicon: Lexicon) -> list[Mapping[str, Any]]:
    return [row for rows in _rows(records, lexicon) for row in rows["recordings"]]


def _sheet(data: bytes) -> str:
    """Read what a spreadsheet saved: UTF-8, UTF-16 with its mark, or the Windows code page."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def _print_agreement(records: tuple[str, ...], sheets: tuple[str, ...], seed: int, lexicon: Lexicon) -> None:
    from otochron.cli.common import read_input
    from otochron.errors import RecordError
    from otochron.writers.tables.agreement import agreement
    from otochron.writers.tables.codebook import coded
    from otochron.writers.tables.coding import machine_codes, read_sheet

    coders = {"machine": machine_codes(_recordings(records, lexicon), lexicon)}
    known = {recording for recording, _ in coders["machine"]}
    for n, sheet in enumerate(sheets, start=1):
        coders[f"person {n}"] = codes = read_sheet(_sheet(read_input(sheet)[0]), sheet, lexicon)
        if not known & {recording for recording, _ in codes}:
            raise RecordError(
                sheet,
                "codes none of the records",
                "recording_id of the records given",
                "Give the records of the sample.",
            )
    people = [name for name in coders if name != "machine"]
    pairs = [*(("machine", person) for person in people), *itertools.combinations(people, 2)]
    groups: list[tuple[str, ...]] = list(pairs)
    if len(people) > 2:
        groups.append(tuple(people))

    def shown(value: float | None, interval: tuple[float, float] | None) -> str:
        if value is None:
            return "-"
        return f"{value:.2f} ({interval[0]:.2f} to {interval[1]:.2f})" if interval else f"{value:.2f}"

    for n, sheet in enumerate(sheets, start=1):
        click.echo(f"person {n}: {sheet}")
    wide = max(len(" / ".join(group)) for group in groups) + 2
    click.echo(f"{'variable':<24}{'coders':<{wide}}{'n':>4}{'same':>7}  {'kappa (95 %)':<24}alpha (95 %)")
    for entry in coded(lexicon):
        variable = str(entry.values["column"])
        for group in groups:
            found = agreement({name: coders[name] for name in group}, variable, seed)
            if found.recordings:
                kappa = shown(found.kappa, found.kappa_interval)
                alpha = shown(found.alpha, found.alpha_interval)
                click.echo(
                    f"{variable:<24}{found.coders:<{wide}}{found.recordings:>4}{found.same:>7.2f}  {kappa:<24}{alpha}"
                )
    click.echo("A dash: every code is the same, for which neither is defined.")
