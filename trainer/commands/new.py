"""`sinkside new`: the first file of a new procedure, from a few answers or from a list of acts."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.commands.saying import end
from trainer.commands.writing import write_new
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.procedure.drafts.listing import Group


@click.command(short_help="Begin a new procedure, from a few answers or a list.")
@click.argument("name", metavar="ID")
@click.option("--title", help="What the work is called.")
@click.option("--summary", help="One or two sentences: what comes out, from what.")
@click.option("--stage", help="What the first part of the work is called.")
@click.option(
    "--from",
    "listed",
    type=click.Path(path_type=Path),
    help="A list: a CSV, or lines of text `act | key points | reason`. Key points are parted by ;",
)
@click.option("--into", type=click.Path(path_type=Path), default=Path(), help="The folder; else this one.")
def new(
    name: str, title: str | None, summary: str | None, stage: str | None, listed: Path | None, into: Path
) -> None:
    """Write ID.yaml, a procedure that can be run as it is; where it says "Say here", your words belong.

    Asks for what no option says, on a terminal. Never writes over a file that is there.
    """
    from trainer.procedure.drafts.draft import draft
    from trainer.procedure.drafts.skeleton import SUMMARY, Begun
    from trainer.procedure.names import ident
    from trainer.procedure.problems import Mistake

    name = name.removesuffix(".yaml")  # whoever gives the file's name means its id
    try:
        ident(name)
    except Mistake as wrong:
        end(str(wrong))
    file = into / f"{name}.yaml"
    if file.exists():
        end(f"{file} is there already and is left as it is. Give another id.")
    groups = _listed(listed) if listed is not None else ()
    plain = name.replace("-", " ").capitalize()
    begun = Begun(
        id=name,
        title=_asked("What is the work called?", title, plain),
        summary=_asked("What comes out, and from what?", summary, SUMMARY),
        stage=_asked("What is its first part called?", stage, "The work"),
        groups=groups,
    )
    made = draft(begun)
    if made.problems:
        _say(made.problems)
        end("Nothing was written: put right what is said above.")
    write_new(file, made.text)
    _put_schema(into)
    _say_next(file)


def _put_schema(folder: Path) -> None:
    """What the first line of the file names for editors; one that is there already is left as it is."""
    from trainer.procedure.drafts.skeleton import SCHEMA_FILE
    from trainer.procedure.schema import as_json

    if not (folder / SCHEMA_FILE).exists():
        write_new(folder / SCHEMA_FILE, as_json())


def _asked(question: str, given: str | None, otherwise: str) -> str:
    """What an option says, else an answer where somebody is there to give one."""
    if given is None and sys.stdin.isatty():
        given = click.prompt(question, default=otherwise, err=True)
    return " ".join(one_line(given or otherwise).split()) or otherwise


def _listed(path: Path) -> tuple[Group, ...]:
    """The acts of a list; ends with what is wrong with it, line by line."""
    from trainer.procedure.drafts.listing import read_listing
    from trainer.procedure.files import FileTrouble, read_bytes

    try:
        source = read_bytes(path)
    except FileTrouble as trouble:
        end(str(trouble))
    found = read_listing(source, table=path.suffix.lower() in {".csv", ".tsv"})
    _say(found.notes)
    if found.problems:
        _say(found.problems)
        end(f"Nothing was written: put the list {path} right, then try again.")
    return found.groups


def _say(sentences: tuple[str, ...]) -> None:
    for sentence in sentences:
        click.echo(one_line(sentence), err=True)


def _say_next(file: Path) -> None:
    named = one_line(shlex.quote(str(file)))
    click.echo(f"Written: {named}\nNext:")
    click.echo(f"  sinkside preview {named}   shows it while you write, with what is to be done")
    click.echo(f"  sinkside check {named}   lists what is wrong, and what is still to be written")
    click.echo(f"  sinkside run {named} --trainee T-01   goes through it as a trainee does")
    click.echo("  sinkside guide author   says what can stand in it")
