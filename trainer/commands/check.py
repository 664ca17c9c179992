"""`sinkside check`: every problem of procedure files."""

from __future__ import annotations

from pathlib import Path

import click

from trainer import places
from trainer.commands.saying import UNREADABLE, end, sentences, wants_colour


@click.command(short_help="Show every problem of procedure files.")
@click.argument("paths", nargs=-1, metavar="PATH...")
@click.option("--json", "as_json", is_flag=True, help="For a program to read: one list of problems.")
@click.option("--explain", metavar="CODE", help="The page of a code: what it means and how to mend it.")
def check(paths: tuple[str, ...], *, as_json: bool, explain: str | None) -> None:
    """Read procedure files as strictly as a run does, and show every problem with what to write instead.

    PATH is a file, a folder (searched for *.yaml) or the id of a shipped procedure. Ends with 0: clean, or
    warnings only. 1: problems. 2: could not be read.
    """
    if explain is not None:
        click.echo(page_of(explain))
        return
    if not paths:
        raise click.UsageError("Missing argument 'PATH...'.")
    from trainer.procedure.checking import check_files

    with sentences():
        checked = check_files([places.find_procedure(path) or Path(path) for path in paths])
    click.echo(checked.as_json() if as_json else checked.as_text(colour=wants_colour()))
    raise SystemExit(checked.exit_code)


def page_of(code: str) -> str:
    """The page of a code; where there is none, that is said and the command ends."""
    from trainer.procedure.explain import explained

    try:
        return explained(code, places.guide_dir() / "codes").as_text()
    except LookupError as unknown:
        end(str(unknown.args[0]), UNREADABLE)
