"""`sinkside record person`: the people of a record, shown, added, corrected, exported, erased."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.saying import sentences
from trainer.procedure.text import one_line
from trainer.run.clock import wall_words

if TYPE_CHECKING:
    from trainer.record.people import People


@click.group()
def person() -> None:
    """People: a short code each, and a name only if it is wanted."""


@contextmanager
def people(given: Path | None, *, make: bool = False) -> Iterator[People]:
    """The people of the record, with what can go wrong said in a sentence. make: the record, if missing."""
    from trainer.record.people import People
    from trainer.run.clock import SystemClock

    with sentences(), People.at(places.record_path(given).path, SystemClock(), make=make) as found:
        yield found


def ask_pin() -> str:
    """A PIN: typed twice and not shown, or the first line of stdin where that is no terminal."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    typed: str = click.prompt(
        "PIN (six digits or a phrase)", hide_input=True, confirmation_prompt=True, err=True
    )
    return typed


@person.command()
@click.argument("code")
@click.option("--name", default="", help="A name, if one is wanted.")
@click.option("--instructor", is_flag=True, help="May sign off; asks for a PIN.")
@click.pass_obj
def add(given: Path | None, code: str, name: str, *, instructor: bool) -> None:
    """Add a person. Trainees need not be added: they are known from their first run on."""
    with people(given, make=True) as known:  # a station's first act may be to add its instructor
        added = known.add(code, name, instructor=instructor, pin=ask_pin() if instructor else "")
    click.echo(f"{added.code} is added as {added.role}.")


@person.command()
@click.argument("code", required=False)
@click.pass_obj
def show(given: Path | None, code: str | None) -> None:
    """Show everybody; or one person with the runs he or she worked in."""
    with people(given) as known:
        for one in [known.show(code)] if code else known.all():
            pin = "has a PIN" if one.has_pin else ""
            since = wall_words(one.added_at, "%Y-%m-%d")
            line = f"{one.code:10} {one.role:10} {one.runs:5} runs  since {since}  {pin:9}  {one.name}"
            excused = f"  {one.excused} of the runs excused" if one.excused else ""
            click.echo(line.rstrip() + excused)
        for run in known.runs_of(code) if code else ():
            state = f"{run.closed or 'open'}{', excused' if run.excused else ''}"
            worked = f"  {run.run}  {wall_words(run.opened_at)}  {state:8} {run.procedure}"
            click.echo(one_line(worked))


@person.command()
@click.argument("code")
@click.argument("name")
@click.pass_obj
def rename(given: Path | None, code: str, name: str) -> None:
    """Correct a person's name; an empty NAME takes it away."""
    with people(given) as known:
        changed = known.rename(code, name)
    click.echo(
        f"{changed.code} is now called {changed.name!r}."
        if changed.name
        else f"{changed.code} has no name now."
    )


@person.command()
@click.argument("wrong")
@click.argument("right")
@click.option("--run", "named", multiple=True, metavar="RUN", help="Only this run; again for more.")
@click.pass_obj
def mistyped(given: Path | None, wrong: str, right: str, named: tuple[str, ...]) -> None:
    """Put a mistyped code right: what is kept under WRONG is RIGHT's. Asks for an instructor's code and PIN.

    All runs of WRONG, or with --run some of them, where WRONG is somebody else's code. What was kept stays;
    each run gets an event that says whose it is, and every figure goes by it. Said the other way round, it is
    put back.
    """
    from trainer.commands.after_class import ask_instructor
    from trainer.record.after_class import AfterClass
    from trainer.record.find_run import run_called
    from trainer.record.journal import StationJournal
    from trainer.record.mistyped import to_put_right, unlist
    from trainer.record.pins import PinCheck
    from trainer.run.clock import SystemClock

    path, clock = places.record_path(given).path, SystemClock()
    with sentences(), StationJournal(path, clock, make=False) as journal:
        runs = to_put_right(journal, wrong, right, [run_called(journal, run) for run in named])
        click.echo(f"{runs.before} {runs.of_right}", err=True)
        AfterClass(journal, PinCheck(path, clock), clock).put_right(runs, ask_instructor())
        gone = unlist(journal, runs.wrong)
    click.echo(runs.after)
    if gone:
        click.echo(runs.unlisted)


@person.command()
@click.argument("code")
@click.pass_obj
def pin(given: Path | None, code: str) -> None:
    """Give an instructor a new PIN."""
    with people(given) as known:
        known.may_have_pin(code)  # before anybody types a PIN twice
        known.set_pin(code, ask_pin())
        changed = known.show(code)
    click.echo(f"{changed.code} has a new PIN.")


@person.command()
@click.argument("code")
@click.pass_obj
def export(given: Path | None, code: str) -> None:
    """Write everything that is kept about one person, as JSON."""
    import json

    with people(given) as known:
        click.echo(json.dumps(known.export(code), indent=2, ensure_ascii=False))


@person.command()
@click.argument("code")
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_obj
def erase(given: Path | None, code: str, *, yes: bool) -> None:
    """Take one person out of the record, for good. What is left cannot be led back to the person."""
    if not yes:
        who = one_line(code)
        click.confirm(f"Erase {who} and what {who} did, for good?", abort=True, err=True)
    with people(given) as known:
        erased = known.erase(code)
    click.echo(f"{erased.code} is erased: {erased.events} events of {len(erased.runs)} runs.")
