"""`sinkside export`: the record in forms that other programs read."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.commands.naming import READ_OPTION, SCHOOL_OPTION, STATION_OPTION, part_named
from trainer.commands.saying import sentences, warn
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.record.exports.exporting import Choice, Form
    from trainer.record.exports.source import Source
    from trainer.record.exports.tables import Told
    from trainer.run.ports import JournalTrouble

_FORMS = ("csv", "json-lines", "parquet", "xapi")
_DAY = click.DateTime(["%Y-%m-%d"])


_KEY_MADE = (
    "Made the key {path}, with which opaque names of people are made. Keep it, and a copy of it: without it "
    "nobody has the same name in the next export."
)


@click.command(short_help="Write the record for spreadsheets and other programs.")
@click.option("--as", "form", type=click.Choice(_FORMS), help="The form; has to be given.")
@click.option("--table", default=None, metavar="NAME", help="One table only; a wrong name lists them.")
@click.option(
    "--trainee", "trainees", multiple=True, metavar="CODE", help="Only this one's work; again for more."
)
@click.option("--procedure", default=None, metavar="ID", help="Only runs of this procedure.")
@SCHOOL_OPTION
@STATION_OPTION
@click.option(
    "--since", default=None, type=_DAY, metavar="DATE", help="Only runs begun on this day (UTC) or later."
)
@click.option(
    "--until", default=None, type=_DAY, metavar="DATE", help="Only runs begun on this day (UTC) or before."
)
@click.option(
    "--into", default=None, metavar="PATH", help="The file, or the folder for all tables; - is stdout."
)
@click.option("--names", is_flag=True, help="With names of people, which are else in no export.")
@click.option("--home-page", default=None, metavar="ADDRESS", help="xapi: an address your school owns.")
@click.option(
    "--bom/--no-bom", default=None, help="csv: begin with the mark of UTF-8 (else: in files, not on stdout)."
)
@click.option("--decimal-comma", is_flag=True, help="csv: 21,5 with semicolons between cells.")
@click.option("--force", is_flag=True, help="Write over files that are there.")
@READ_OPTION
@click.pass_obj
def export(
    given: str | Path | None,
    record: str | Path | None,
    form: Form | None,
    table: str | None,
    trainees: tuple[str, ...],
    procedure: str | None,
    schools: tuple[str, ...],
    stations: tuple[str, ...],
    since: datetime | None,
    until: datetime | None,
    into: str | None,
    home_page: str | None,
    *,
    names: bool,
    bom: bool | None,
    decimal_comma: bool,
    force: bool,
) -> None:
    """Write the record, or a part of it, as CSV, JSON Lines, Parquet or xAPI statements.

    csv and parquet: all tables into a folder, or one --table into a file. json-lines: every event, or one
    --table. xapi: statements of the Experience API 1.0.3. People are codes, in xapi not even that. Ends with
    1 where a run had to be left out, and says which. See `sinkside guide exports`.
    """
    if form is None:
        raise click.UsageError(f"Say in which form: --as {', '.join(_FORMS)}.")
    from trainer.record.exports.exporting import Choice, wanted
    from trainer.record.exports.source import BeginningErased, exported
    from trainer.run.clock import SystemClock

    left_out: list[JournalTrouble] = []
    with sentences():
        choice = Choice(form, table, names, home_page, bom, decimal_comma)
        part = wanted(trainees, procedure, since and since.date(), until and until.date())
        place = part_named(record or given, schools, stations)
        with exported(place, part, SystemClock().now().at) as source:
            if source.invented:
                click.echo("sinkside: the class in this record is invented.", err=True)
            written(source, choice, into, left_out.append, force=force)
            if not source.runs:
                warn("No run is in the record for what was asked.")
            if source.made_key is not None:
                warn(_KEY_MADE.format(path=source.made_key))
    for trouble in left_out:
        click.echo(f"sinkside: {one_line(str(trouble))}", err=True)
    raise SystemExit(0 if all(isinstance(one, BeginningErased) for one in left_out) else 1)


def written(source: Source, choice: Choice, into: str | None, told: Told, *, force: bool) -> None:
    """Write the export and say where. Raises Trouble."""
    from trainer.record.exports.exporting import all_files, one_file, refuse_what_does_not_go
    from trainer.record.exports.files import make_folder, write_all
    from trainer.run.ports import Trouble

    refuse_what_does_not_go(choice)
    if into is None or into == "-":
        if choice.many:
            raise Trouble("All tables go into a folder: name it with --into, or name one --table.")
        if choice.form == "parquet" and sys.stdout.isatty():
            raise Trouble("Parquet is nothing to look at: name a file with --into.")
        poured(one_file(source, choice, told, bom=False))
        return
    path = Path(into).expanduser()
    if choice.many:
        make_folder(path)
        files = all_files(source, choice, path, told)
    else:
        files = {path: one_file(source, choice, told, bom=True)}
    write_all(files, force=force)
    click.echo(f"Written: {one_line(str(path))}, {len(source.runs)} runs", err=True)


def poured(parts: Iterable[bytes]) -> None:
    """Write to stdout. Ends quietly where nobody reads any more; raises Trouble for any other failure."""
    from trainer.run.ports import Trouble

    out = sys.stdout.buffer
    try:
        for part in parts:
            out.write(part)
        out.flush()
    except BrokenPipeError as error:
        # what is left in the buffer would be told at the end as an error that nobody handled
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(1) from error
    except OSError as error:
        raise Trouble(f"The export cannot be written to stdout: {error.strerror or error}.") from error
