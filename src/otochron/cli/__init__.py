"""The command line: parse, call the API, print. Heavy imports stand inside the commands, so that --help is instant."""

from __future__ import annotations

import atexit
import gc
import sys

import click

from otochron.cli.batch import batch
from otochron.cli.extract import extract
from otochron.cli.lexicon import lexicon
from otochron.cli.outputs import captions, chapters, note
from otochron.cli.schema import schema
from otochron.cli.score import score
from otochron.cli.table import table
from otochron.errors import OtochronError
from otochron.version import __version__


class PlainErrors(click.Group):
    """A group whose commands tell an :class:`OtochronError` in one plain line and end with status 1."""

    def invoke(self, ctx: click.Context) -> object:
        """Run a command; a mistake of the user's becomes one line, a bug keeps its traceback."""
        # What is left at the end goes with the process: the collector need not look for cycles in it once more.
        atexit.register(gc.freeze)
        try:
            return super().invoke(ctx)
        except OtochronError as error:
            click.echo(f"otochron: {error.line()}", err=True)
            ctx.exit(1)
        except BrokenPipeError:
            # The reader of our output went away (``otochron … | head``): not a mistake.
            sys.stderr.close()
            ctx.exit(0)


@click.group(cls=PlainErrors, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="otochron")
def main() -> None:
    """Turn the spoken commentary of an ear operation into a checked record, a draft note, captions and tables.

    Everything written is a draft, made by computer from speech: to be checked and signed by the surgeon; local
    rules apply.
    """


for _command in (extract, note, captions, chapters, table, batch, score, lexicon, schema):
    main.add_command(_command)
