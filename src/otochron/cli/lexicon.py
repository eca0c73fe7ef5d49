"""``otochron lexicon``: for the people who edit the word lists."""

from __future__ import annotations

import click

from otochron.cli.common import lexicon_option, load_lexicon, write_output


@click.group()
def lexicon() -> None:
    """Check, show and add words."""


@lexicon.command()
@lexicon_option
@click.argument("files", nargs=-1, metavar="[FILE]...")
def check(files: tuple[str, ...], overlays: tuple[str, ...]) -> None:
    """Check the shipped word lists, with FILEs laid over them: all problems in one go, exit 1 if there are any."""
    from otochron.lexicon.check import check as check_lexicon

    loaded = load_lexicon((*overlays, *files))
    problems = check_lexicon(loaded)
    for problem in problems:
        click.echo(problem, err=True)
    if problems:
        click.echo(f"otochron: {len(problems)} problems; each code is explained in lexicons/README.md", err=True)
        raise click.exceptions.Exit(1)
    click.echo(f"{len(loaded.entries)} entries, no problem")


@lexicon.command()
@lexicon_option
@click.argument("words", nargs=-1, metavar="[WORD]...")
@click.option("--json", "as_json", is_flag=True, help="Every concept as JSON, steps and procedures included.")
@click.option("--kind", help="Only one kind.")
def show(words: tuple[str, ...], overlays: tuple[str, ...], as_json: bool, kind: str | None) -> None:
    """Show entries side by side in both languages: all, or those whose id or forms hold a WORD."""
    import json

    from otochron.lexicon.show import as_rows, select

    entries = select(load_lexicon(overlays), words, kind)
    if as_json:
        click.echo(json.dumps(as_rows(entries), ensure_ascii=False, indent=1))
        return
    for entry in entries:
        english = ", ".join(entry.en.forms) or f"({entry.en.none or '-'})"
        french = ", ".join(entry.fr.forms) or f"({entry.fr.none or '-'})"
        click.echo(f"{entry.id}  [{entry.kind}]\n  en  {english}\n  fr  {french}")


@lexicon.command()
@click.argument("concept", metavar="ID")
@click.option("--kind", required=True, help="structure, instrument, implant, …")
@click.option("--en", "english", multiple=True, help="An English form; may be given again.")
@click.option("--fr", "french", multiple=True, help="A French form; may be given again.")
@click.option("--yes-en", help="An English sentence in which it must be found.")
@click.option("--yes-fr", help="A French sentence in which it must be found.")
@click.option("--no-en", help="An English sentence in which it must not be found.")
@click.option("--no-fr", help="A French sentence in which it must not be found.")
@click.option("--source", required=True, help="Who says so, when, in which text.")
@click.option("--to", "path", required=True, type=click.Path(), metavar="FILE", help="The overlay file to add to.")
def add(
    concept: str,
    kind: str,
    english: tuple[str, ...],
    french: tuple[str, ...],
    yes_en: str | None,
    yes_fr: str | None,
    no_en: str | None,
    no_fr: str | None,
    source: str,
    path: str,
) -> None:
    """Add a concept ID to an overlay file, checked with all word lists loaded; nothing is written if a check fails."""
    from otochron.lexicon.add import add_entry

    tongues = {"en": (english, yes_en, no_en), "fr": (french, yes_fr, no_fr)}
    text, count = add_entry(path, concept, kind, source, tongues)
    write_output(text, path)
    click.echo(f"{path}: [{concept}] added; {count} entries in all, no problem")
