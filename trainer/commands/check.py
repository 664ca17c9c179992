"""`sinkside check`: every problem of procedure files."""

from __future__ import annotations

from pathlib import Path

import click

from trainer import places
from trainer.commands.saying import sentences, wants_colour


@click.command(short_help="Show every problem of procedure files.")
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@click.option("--json", "as_json", is_flag=True, help="For a program to read: one list of problems.")
def check(paths: tuple[str, ...], *, as_json: bool) -> None:
    """Read procedure files as strictly as a run does, and show every problem with what to write instead.

    PATH is a file, a folder (searched for *.yaml) or the id of a shipped procedure. Ends with 0: clean, or
    warnings only. 1: problems. 2: could not be read.
    """
    from trainer.procedure.checking import check_files

    with sentences():
        checked = check_files([places.find_procedure(path) or Path(path) for path in paths])
    click.echo(checked.as_json() if as_json else checked.as_text(colour=wants_colour()))
    raise SystemExit(checked.exit_code)
