"""``otochron score``: how good a record is."""

from __future__ import annotations

import click

from otochron.cli.common import lexicon_option, load_lexicon, read_input, read_record


@click.command()
@click.argument("gold", metavar="GOLD")
@click.argument("record", metavar="RECORD")
@click.option("--json", "as_json", is_flag=True, help="The numbers and every miss as JSON.")
@lexicon_option
def score(gold: str, record: str, as_json: bool, overlays: tuple[str, ...]) -> None:
    """Measure a RECORD against a hand-made GOLD file: a table, then every miss with its line."""
    import json

    from otochron.errors import GoldError
    from otochron.score import read_gold, score_record

    data, _ = read_input(gold)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise GoldError(gold, "is not UTF-8 text", "a gold file", "Save it as UTF-8.") from None
    result = score_record(read_gold(text, gold), read_record(record), load_lexicon(overlays))
    if as_json:
        shown = {"name": result.name, "scores": result.numbers(), "misses": result.misses()}
        click.echo(json.dumps(shown, ensure_ascii=False, indent=1))
        return
    for part, numbers in result.numbers().items():
        click.echo(part)
        for name, value in numbers.items():
            shown_value = "-" if value is None else f"{value:.3f}" if isinstance(value, float) else str(value)
            click.echo(f"  {name:<34}{shown_value:>10}")
    misses = result.misses()
    click.echo(f"{len(misses)} misses")
    for miss in misses:
        at = float(str(miss["time"]))
        rest = ", ".join(f"{k}: {v}" for k, v in miss.items() if k not in {"part", "kind", "time", "line"})
        click.echo(f"  {int(at) // 60:d}:{int(at) % 60:02d} {miss['line']} {miss['part']}: {miss['kind']} ({rest})")
