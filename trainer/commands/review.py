"""`sinkside review`: after class, whom to help with what."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from trainer.commands.naming import READ_OPTION, SCHOOL_OPTION, STATION_OPTION, part_named
from trainer.commands.saying import UNREADABLE, end
from trainer.procedure.text import one_line


@click.command(short_help="After class: see whom to help with what.")
@READ_OPTION
@SCHOOL_OPTION
@STATION_OPTION
@click.option(
    "--procedure", "procedures", multiple=True, metavar="ID", help="Begin with runs of this procedure."
)
@click.option(
    "--since",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="DATE",
    help="Begin with runs opened on this day or later.",
)
@click.pass_context
def review(
    context: click.Context,
    record: str | Path | None,
    schools: tuple[str, ...],
    stations: tuple[str, ...],
    procedures: tuple[str, ...],
    since: datetime | None,
) -> None:
    """Show what a class has done: trainees by skill, what stands out, and what each figure is made of.

    Of a large shared record, name what you want to see: nothing else is fetched then.
    Ends with 2 where the record cannot be read. See `sinkside guide reviewer`.
    """
    from trainer.insight.results import Wanted
    from trainer.run.clock import SystemClock, day_begins
    from trainer.run.ports import Trouble
    from trainer.screens.reviewing_app import run_review  # Textual: 150 ms

    try:
        part = part_named(record or context.obj, schools, stations)
    except Trouble as told:
        end(str(told), UNREADABLE)
    first = None if since is None else day_begins(since)
    wanted = Wanted(procedures=tuple(map(one_line, procedures)), since=first)
    raise SystemExit(run_review(part, SystemClock(), wanted))
