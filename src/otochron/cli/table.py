"""``otochron table``: research tables, samples for double coding, agreement."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from otochron.cli.common import lexicon_option, load_lexicon, read_record

if TYPE_CHECKING:
    from otochron.lexicon import Lexicon


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
    """Write research tables (CSV) of RECORDs with a codebook.

    With --sample, draw recordings for double coding instead; with --coded, measure the agreement of coders.
    """
    from otochron import files
    from otochron.writers.tables import tables_text
    from otochron.writers.tables.coding import draw_sample, empty_sheet

    lexicon = load_lexicon(overlays)
    if coded:
        _print_agreement(records, coded, seed, lexicon)
        return
    if out is None:
        raise click.UsageError("say where to write with --out DIR")
    if sample is not None:
        rows = [row for rows in _rows(records, lexicon) for row in rows["recordings"]]
        drawn = draw_sample(rows, sample, seed)
        files.write_whole(out / "coding-sheet.csv", empty_sheet(drawn))
        click.echo(f"{len(drawn)} of {len(rows)} recordings drawn (seed {seed}): {out / 'coding-sheet.csv'}")
        return
    files.write_streamed(out, tables_text(_rows(records, lexicon), lexicon))
    click.echo(f"Tables of {len(records)} recordings in {out}")


def _rows(records: tuple[str, ...], lexicon: Lexicon) -> Iterator[dict[str, list[dict[str, Any]]]]:
    from otochron.writers.tables import record_rows

    for path in records:
        yield record_rows(read_record(path), lexicon, path)


def _print_agreement(records: tuple[str, ...], sheets: tuple[str, ...], seed: int, lexicon: Lexicon) -> None:
    from otochron.cli.common import read_input
    from otochron.writers.tables.coding import CODED, Agreement, agreement, machine_codes, read_sheet

    coders = {"machine": machine_codes([row for rows in _rows(records, lexicon) for row in rows["recordings"]])}
    for n, sheet in enumerate(sheets, start=1):
        data, _ = read_input(sheet)
        coders[f"person {n}"] = read_sheet(data.decode("utf-8-sig", "replace"), sheet)
    people = [name for name in coders if name != "machine"]
    pairs = [("machine", person) for person in people] + [(a, b) for i, a in enumerate(people) for b in people[i + 1 :]]

    def shown(value: float | None, interval: tuple[float, float] | None) -> str:
        if value is None:
            return "-"
        return f"{value:.2f} ({interval[0]:.2f} to {interval[1]:.2f})" if interval else f"{value:.2f}"

    click.echo(f"{'variable':<24}{'coders':<20}{'n':>4}{'same':>7}  {'kappa (95 %)':<24}alpha (95 %)")
    for variable in CODED:
        for pair in pairs:
            found: Agreement = agreement({name: coders[name] for name in pair}, variable, seed)
            if found.recordings:
                kappa = shown(found.kappa, found.kappa_interval)
                alpha = shown(found.alpha, found.alpha_interval)
                click.echo(
                    f"{variable:<24}{found.coders:<20}{found.recordings:>4}{found.same:>7.2f}  {kappa:<24}{alpha}"
                )
