"""``otochron extract``: the main job."""

from __future__ import annotations

import os
from pathlib import Path, PurePath

import click

from otochron.cli.common import check_date, lexicon_option, load_lexicon, read_input, write_output
from otochron.collector import paused


@click.command()
@click.argument("inputs", nargs=-1, required=True, metavar="INPUT...")
@click.option("--out", metavar="DIR", help="Folder for the results; one folder per input in it.")
@click.option("--json", "as_json", is_flag=True, help="Print the record alone on standard output; write nothing.")
@lexicon_option
@click.option("--date", "date", metavar="YYYY-MM-DD", callback=check_date, help="Day of the operation.")
@click.option(
    "--reader",
    type=click.Choice(["webvtt", "srt", "ttml", "blocks", "segments"]),
    help="Force a format; otherwise it is found out from the content.",
)
@click.option("--corrections", metavar="FILE", help="The surgeon's word (TOML); it outranks extraction.")
@click.option("--write-corrections", "draft", metavar="FILE", help="Draft a corrections file with every open question.")
@click.option("--mask", is_flag=True, help="Hide spoken personal data in every output.")
@click.option("--media", metavar="FILE", help="The recording's sound or video, for the player of the page.")
@paused()
def extract(
    inputs: tuple[str, ...],
    out: str | None,
    as_json: bool,
    overlays: tuple[str, ...],
    date: str | None,
    reader: str | None,
    corrections: str | None,
    draft: str | None,
    mask: bool,
    media: str | None,
) -> None:
    """Read timed transcripts and write, for each, a record, draft notes, captions, chapters and a page.

    INPUT is a transcript (WebVTT, SRT, TTML, text blocks with [m:ss], or JSON segments), or - for standard input.
    """
    from otochron import files
    from otochron.job import Options, run_job
    from otochron.writers.summary import write_summary

    if out is None and not as_json and draft is None:
        raise click.UsageError("say where to write with --out DIR, or print the record with --json")
    if len(inputs) > 1 and (corrections or draft or media):
        raise click.UsageError("--corrections, --write-corrections and --media go with one INPUT")
    folders = target_folders(inputs)
    lexicon = load_lexicon(overlays)
    word = files.read_bytes(Path(corrections)).decode("utf-8") if corrections else None
    if media and out is not None:
        media = seen_from(Path(out) / folders[inputs[0]], media)
    options = Options(date=date, reader=reader, mask=mask, media=media, corrections=word, corrections_name=corrections)
    for path in inputs:
        data, name = read_input(path)
        result = run_job(data, name, options, lexicon)
        if draft is not None:
            from otochron.corrections import draft_corrections

            files.write_whole(Path(draft), draft_corrections(result.record))
        if as_json:
            write_output(result.files["record.json"], None)
            continue
        if out is not None:
            folder = Path(out) / folders[path]
            files.write_folder(folder, result.files)
            click.echo(write_summary(result.record, lexicon))
            click.echo(f"Written to {folder}{os.sep}")


def seen_from(folder: Path, media: str) -> str:
    """Give the path of a media file as the page in ``folder`` must ask for it; what is no file here stays as it is."""
    if not Path(media).is_file():
        return media
    try:
        return os.path.relpath(media, folder)
    except ValueError:  # another drive
        return str(Path(media).resolve())


def target_folders(inputs: tuple[str, ...]) -> dict[str, PurePath]:
    """Give the folder of each input below ``--out``: relative paths mirrored, absolute ones from their common folder.

    Raises
    ------
    WriteError
        If two inputs would share a folder.
    """
    from otochron.errors import WriteError

    absolute = [Path(p) for p in inputs if p != "-" and Path(p).is_absolute()]
    common = Path(os.path.commonpath([p.parent for p in absolute])) if absolute else Path()
    folders: dict[str, PurePath] = {}
    owners: dict[PurePath, str] = {}
    for path in dict.fromkeys(inputs):
        if path == "-":
            folder: PurePath = PurePath("stdin")
        else:
            relative = Path(path).relative_to(common) if Path(path).is_absolute() else PurePath(os.path.normpath(path))
            folder = PurePath(*(part for part in relative.parts if part != "..")).with_suffix("")
        if folder in owners:
            raise WriteError(
                path,
                f"would share the folder {folder} with {owners[folder]}",
                "a folder for each input",
                "Rename one, or run them apart.",
            )
        owners[folder] = path
        folders[path] = folder
    return folders
