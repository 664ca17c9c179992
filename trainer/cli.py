"""The commands, each a few lines that call a room.

Rooms are imported inside the commands: `--help`, `--version` and completion start without them. Results go to
stdout, messages to stderr.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Literal, NoReturn

import click

from trainer import places, tongue
from trainer.calc import calc
from trainer.commands import completing
from trainer.commands.after_class import excuse, note, sign
from trainer.commands.as_walk import as_walk
from trainer.commands.check import check
from trainer.commands.completion import completion
from trainer.commands.demo import demo
from trainer.commands.doctor import doctor
from trainer.commands.export import export as export_
from trainer.commands.faults import faults
from trainer.commands.forward import forward
from trainer.commands.keeping import backup, restore, retention
from trainer.commands.map import map_
from trainer.commands.naming import READ_OPTION, file_only, place_of
from trainer.commands.new import new
from trainer.commands.paper import paper
from trainer.commands.person import person
from trainer.commands.plate import plate
from trainer.commands.preview import preview
from trainer.commands.report import report
from trainer.commands.review import review
from trainer.commands.saying import UNREADABLE, end, sentences, wants_colour
from trainer.commands.schema import schema
from trainer.commands.serve import serve
from trainer.commands.shared import shared
from trainer.procedure.text import one_line

GUIDANCE = ("full", "cued", "solo")
RECORD_OPTION = click.option(
    "--record",
    "record",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The record, a file (else SINKSIDE_RECORD, else record.db in the data folder).",
)


_READERS = {"review", "report", "export", "record"}
"""Commands that may be told of the shared record."""


def _language(_context: click.Context, _option: click.Parameter, given: str | None) -> str | None:
    """The code of a language, or a complaint."""
    if given is not None and not places.is_language(given):
        raise click.BadParameter(f"{one_line(given)!r} is not the code of a language, such as es.")
    return given


LANGUAGE_OPTION = click.option(
    "--language",
    metavar="CODE",
    callback=_language,
    help="The language of texts and screens, such as es (else SINKSIDE_LANG, else English).",
)


def unforeseen(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    """An error that nobody foresaw, in any command: a sentence, and the details in the log."""
    if not isinstance(error, Exception):
        sys.__excepthook__(kind, error, trace)
        return
    from trainer.screens.leaving import say_fault

    say_fault(error)


class Commands(click.Group):
    """A group whose complaints about a command line quote it as text: it may hold anything."""

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None, **extra: object
    ) -> click.Context:
        """Read the options of the group."""
        with quoted_as_text():
            return super().make_context(info_name, args, parent, **extra)

    def invoke(self, ctx: click.Context) -> object:
        """Find the command, read its options, do it."""
        with quoted_as_text():
            return super().invoke(ctx)


@contextmanager
def quoted_as_text() -> Iterator[None]:
    """Clean what a complaint says before it is shown; it is one line, whatever it quotes."""
    try:
        yield
    except click.MissingParameter:
        raise  # it quotes nothing, and may list what can be written on lines of its own
    except click.UsageError as told:
        said = told.format_message()
        if one_line(said) == said:
            raise
        raise click.UsageError(one_line(said), told.ctx) from told


@click.group(
    cls=Commands, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]}
)
@READ_OPTION
@LANGUAGE_OPTION
@click.version_option(package_name="sinkside", message="sinkside %(version)s")
@click.pass_context
def main(context: click.Context, record: str | Path | None, language: str | None) -> None:
    """A guided workflow trainer beside the sink: making an offset plate from film by hand.

    Without a command: the start screen.
    """
    sys.excepthook = unforeseen
    # Matrices are small here: a second thread of the linear algebra spins and does nothing.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    context.obj = record if context.invoked_subcommand in _READERS else file_only(record)
    tongue.speak(places.language(language))
    if context.invoked_subcommand is None:
        start(file_only(record), language=language)


def start(
    record: Path | None,
    *,
    procedure: str | None = None,
    trainee: str | None = None,
    guidance: Literal["full", "cued", "solo"] | None = None,
    job: str = "",
    colour: str = "",
    go_on: bool = False,
    plain: bool = False,
    rehearsal: bool = False,
    language: str | None = None,
) -> NoReturn:
    """Open the record and hand over to a front end. go_on: with the open run that fits, where one does."""
    from trainer.screens.station import Station

    with sentences(), Station.open(record=record, language=language) as station:
        run_id = station.to_go_on(procedure, trainee, rehearsal=rehearsal) if go_on else None
        if plain:
            from trainer.screens.plain import run_plain

            code = run_plain(
                station,
                procedure=procedure,
                trainee=trainee,
                guidance=guidance,
                job=job,
                colour=colour,
                run_id=run_id,
                rehearsal=rehearsal,
            )
        else:
            from trainer.screens.app import run_app

            code = run_app(
                station,
                procedure=procedure,
                trainee=trainee,
                guidance=guidance,
                job=job,
                colour=colour,
                run_id=run_id,
                rehearsal=rehearsal,
            )
    raise SystemExit(code)


@main.command(short_help="Begin a run, or go on with the open one.")
@click.argument("procedure", required=False, shell_complete=completing.procedures)
@click.option("--trainee", help="Who works: a code such as T-01.")
@click.option("--guidance", type=click.Choice(GUIDANCE), help="How much is told.")
@click.option("--job", default="", help="The job, as the folder names it.")
@click.option("--colour", default="", help="Which colour of the job this plate prints.")
@click.option(
    "--new", "anew", is_flag=True, help="Begin a new run even where an open one could be gone on with."
)
@click.option(
    "--rehearsal", is_flag=True, help="On the simulated bench, without material, and not as a wet run."
)
@click.option("--plain", is_flag=True, help="Ask and answer in lines of text.")
@RECORD_OPTION
@LANGUAGE_OPTION
@click.pass_context
def run(
    context: click.Context,
    record: Path | None,
    language: str | None,
    procedure: str | None,
    trainee: str | None,
    guidance: Literal["full", "cued", "solo"] | None,
    job: str,
    colour: str,
    *,
    anew: bool,
    plain: bool,
    rehearsal: bool,
) -> None:
    """Begin a run of PROCEDURE (an id or a file), or go on with the one that is open.

    Without PROCEDURE: goes on with the open run; where there are several, asks.
    """
    start(
        record or context.obj,
        language=language or context.find_root().params.get("language"),
        procedure=procedure,
        trainee=trainee,
        guidance=guidance,
        job=one_line(job),
        colour=one_line(colour),
        go_on=not anew,
        plain=plain,
        rehearsal=rehearsal,
    )


@main.command(short_help="Go through procedures as scripted in walk files.")
@click.argument("paths", nargs=-1, required=True, metavar="PATH...", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="For a program to read.")
def walk(paths: tuple[Path, ...], *, as_json: bool) -> None:
    """Go through procedures by themselves, as scripted in walk files (or folders of them).

    Ends with 0: every walk went as written. 1: one did not. 2: could not be read.
    """
    from trainer.rehearsal.walking import walk_all

    with sentences():
        walked = walk_all(paths)
    click.echo(walked.as_json() if as_json else walked.as_text(colour=wants_colour()))
    raise SystemExit(walked.exit_code)


@main.command(short_help="Show the pages of the guide.")
@click.argument("topic", required=False, shell_complete=completing.pages)
def guide(topic: str | None) -> None:
    """Show a page of the guide; without TOPIC, what pages there are."""
    pages = {page.stem: page for page in sorted(places.guide_dir().glob("*.md"))}
    chosen = pages.get(topic or "index")
    if chosen is None:
        end(f"There is no page {topic!r}. There are: {', '.join(pages)}.", UNREADABLE)
    text = chosen.read_text(encoding="utf-8")
    if sys.stdout.isatty():
        click.echo_via_pager(text)
    else:
        click.echo(text, nl=False)


main.add_command(calc)
main.add_command(check)
main.add_command(completion)
main.add_command(demo)
main.add_command(schema)
main.add_command(export_)
main.add_command(faults)
main.add_command(map_)
main.add_command(new)
main.add_command(paper)
main.add_command(preview)
main.add_command(report)
main.add_command(review)
main.add_command(serve)


@main.group()
@READ_OPTION
@click.pass_context
def record(context: click.Context, record: str | Path | None) -> None:
    """Look after the record at this station."""
    named = record or context.obj
    context.obj = named if context.invoked_subcommand in {verify.name, None} else file_only(named)


@record.command()
@click.option("--json", "as_json", is_flag=True, help="For a program to read.")
@click.pass_obj
def verify(given: str | Path | None, *, as_json: bool) -> None:
    """Say whether anything kept was altered, taken out or cut off since it was written.

    Ends with 0: nothing found. 1: something found. It is evidence, not proof: see `sinkside guide record`.
    """
    from trainer.record.verify import verify as look

    with sentences():
        place = place_of(given)
        if isinstance(place, Path):
            report = look(place)
        else:
            from trainer.record.shared.connecting import connected
            from trainer.record.shared.verifying import verify as look_shared

            with connected(place) as connection:
                report = look_shared(connection)
    click.echo(report.as_json() if as_json else report.as_text())
    raise SystemExit(0 if report.ok else 1)


@record.command()
@click.pass_obj
def rebuild(given: Path | None) -> None:
    """Make the tables for reading anew from the events."""
    from trainer.record.rebuild import rebuild as make_anew
    from trainer.run.clock import SystemClock

    with sentences():
        made = make_anew(places.record_path(given).path, SystemClock().now().at)
    click.echo(f"Made anew from {made.events} events of {made.runs} runs.")


record.add_command(as_walk)
record.add_command(note)
record.add_command(excuse)
record.add_command(sign)
record.add_command(backup)
record.add_command(restore)
record.add_command(retention)
record.add_command(doctor)
record.add_command(forward)
record.add_command(plate)
record.add_command(person)
record.add_command(shared)

if __name__ == "__main__":
    main()
