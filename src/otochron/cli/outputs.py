"""``otochron note``, ``captions`` and ``chapters``: one thing from a record that exists."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from otochron.cli.common import (
    language_option,
    lexicon_option,
    load_lexicon,
    output_option,
    read_record,
    write_output,
)

if TYPE_CHECKING:
    from otochron.model import Lang


@click.command()
@click.argument("record", metavar="RECORD")
@language_option
@click.option("--as", "form", type=click.Choice(["md", "html", "txt"]), default="md", show_default=True)
@lexicon_option
@output_option
def note(record: str, language: Lang, form: str, overlays: tuple[str, ...], output: str | None) -> None:
    """Write the operative note of a RECORD (record.json or -): a draft for signature."""
    from otochron.writers.note import write_note

    write_output(write_note(read_record(record), load_lexicon(overlays), language, form), output)


@click.command()
@click.argument("record", metavar="RECORD")
@click.option("--as", "form", type=click.Choice(["webvtt", "srt"]), default="webvtt", show_default=True)
@click.option("--heard", is_flag=True, help="The words as the recogniser wrote them, without repairs.")
@output_option
def captions(record: str, form: str, heard: bool, output: str | None) -> None:
    """Write the subtitles of a RECORD with its repairs; WebVTT carries the language of every span."""
    from otochron.writers.captions import write_captions

    write_output(write_captions(read_record(record), form, heard=heard), output)


@click.command()
@click.argument("record", metavar="RECORD")
@language_option
@click.option("--as", "form", type=click.Choice(["webvtt", "text", "json"]), default="webvtt", show_default=True)
@lexicon_option
@output_option
def chapters(record: str, language: Lang, form: str, overlays: tuple[str, ...], output: str | None) -> None:
    """Write the chapter marks of a RECORD, from its steps."""
    from otochron.writers.chapters import write_chapters

    write_output(write_chapters(read_record(record), load_lexicon(overlays), language, form), output)
