"""``otochron schema``."""

from __future__ import annotations

import click


@click.command()
def schema() -> None:
    """Print the JSON Schema (2020-12) of the record."""
    import json

    from otochron.model import record_schema

    click.echo(json.dumps(record_schema(), indent=2, ensure_ascii=False))
