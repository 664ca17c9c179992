"""`sinkside check`: every problem of procedure files, mended where that is safe."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from trainer import places
from trainer.commands import completing
from trainer.commands.saying import UNREADABLE, end, sentences, wants_colour

if TYPE_CHECKING:
    from trainer.procedure.checking import Checked

Form = Literal["text", "json", "sarif"]


@click.command(short_help="Show every problem of procedure files.")
@click.argument("paths", nargs=-1, metavar="PATH...", shell_complete=completing.files)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "sarif"]),
    default="text",
    help="text for people; json or sarif (SARIF 2.1.0) for programs.",
)
@click.option("--json", "as_json", is_flag=True, help="The same as --format json.")
@click.option("--fix", "mend", is_flag=True, help="Mend what is safe to mend, and say what was mended.")
@click.option("--as", "stands_for", metavar="FILE", help="With `-`: the file that is being written.")
@click.option(
    "--explain",
    metavar="CODE",
    help="The page of a code: what it means, how to mend it. A letter: its codes.",
)
def check(
    paths: tuple[str, ...],
    *,
    form: Form,
    as_json: bool,
    mend: bool,
    stands_for: str | None,
    explain: str | None,
) -> None:
    """Read procedure files as strictly as a run does, and show every problem with what to write instead.

    PATH is a file, a folder (searched for *.yaml), the id of a shipped procedure, or `-` for a file that an
    editor has not saved yet. Ends with 0: clean, or warnings only. 1: problems. 2: could not be read.
    """
    if explain is not None:
        click.echo(page_of(explain))
        return
    if not paths:
        raise click.UsageError("Missing argument 'PATH...'.")
    with sentences():
        checked = looked_at(paths, stands_for, mend=mend)
    if as_json or form == "json":
        click.echo(checked.as_json())
    elif form == "sarif":
        from importlib.metadata import version  # only where it is written down

        click.echo(checked.as_sarif(places.guide_dir() / "codes", version("sinkside")))
    else:
        click.echo(checked.as_text(colour=wants_colour()))
    raise SystemExit(checked.exit_code)


def looked_at(paths: tuple[str, ...], stands_for: str | None, *, mend: bool) -> Checked:
    """What is found in files and folders, or in what comes through a pipe."""
    from trainer.procedure.checking import check_files, check_source
    from trainer.procedure.source import MOST_BYTES

    if "-" not in paths:
        if stands_for is not None:
            raise click.UsageError("--as goes with `-`, a file that comes through a pipe.")
        return check_files([places.find_procedure(path) or Path(path) for path in paths], mend=mend)
    if len(paths) > 1 or mend:
        raise click.UsageError("`-` stands alone, without other files and without --fix.")
    return check_source(sys.stdin.buffer.read(MOST_BYTES + 1), Path(stands_for or "stdin"))


def page_of(code: str) -> str:
    """The page of a code, or the codes of a letter; where there is none, that is said and all ends."""
    from trainer.procedure.explain import told

    try:
        return told(code, places.guide_dir() / "codes")
    except LookupError as unknown:
        end(str(unknown.args[0]), UNREADABLE)
