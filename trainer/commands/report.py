"""`sinkside report`: what came of a class, as one page to print."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from trainer.commands.naming import READ_OPTION, SCHOOL_OPTION, STATION_OPTION, part_named
from trainer.commands.saying import UNREADABLE, end, warn
from trainer.commands.writing import put
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.insight.report.gather import Gathered
    from trainer.insight.report.material import Material, Paper

_DAY = click.DateTime(["%Y-%m-%d"])


@click.command(short_help="What came of a class, as one page to print.")
@READ_OPTION
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="The file to write, such as class.html; else stdout. With --all: the folder.",
)
@SCHOOL_OPTION
@STATION_OPTION
@click.option("--since", type=_DAY, metavar="DATE", help="Runs opened on this day (2026-11-26) or later.")
@click.option("--until", type=_DAY, metavar="DATE", help="Runs opened on this day or before.")
@click.option(
    "--procedure", "procedures", multiple=True, metavar="ID", help="Runs of this procedure; may be repeated."
)
@click.option("--kind", type=click.Choice(["wet", "rehearsal"]), help="Runs of this kind.")
@click.option("--trainee", metavar="CODE", help="A page for this trainee, with nobody else's data in it.")
@click.option(
    "--all",
    "every",
    is_flag=True,
    help="A page for every trainee, each by itself, and a list of them, into the folder --out.",
)
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), help="The size of the paper; else as the printer has it."
)
@click.option(
    "--verify",
    "verified",
    is_flag=True,
    help="Look the record over too, as `record verify` does; slow.",
)
@click.pass_context
def report(
    context: click.Context,
    record: str | Path | None,
    out: Path | None,
    schools: tuple[str, ...],
    stations: tuple[str, ...],
    since: datetime | None,
    until: datetime | None,
    procedures: tuple[str, ...],
    kind: Literal["wet", "rehearsal"] | None,
    trainee: str | None,
    paper: Literal["a4", "letter"] | None,
    *,
    every: bool,
    verified: bool,
) -> None:
    """Write what the record shows about a class as one page of HTML that prints to A4 and Letter.

    First half a page in plain sentences: what to teach again, who is ready, what was wasted, what drifts.
    Then all of it in tables and charts. The page needs no network and runs nothing.
    """
    from trainer.insight.report.gather import gathered
    from trainer.insight.results import Wanted
    from trainer.run.clock import SystemClock, day_begins
    from trainer.run.ports import Trouble

    if every and (trainee is not None or out is None):
        end("Say into which folder: --all --out FOLDER. A page for one trainee alone: --trainee.", 2)
    if since is not None and until is not None and since > until:
        end(f"--since {since:%Y-%m-%d} comes after --until {until:%Y-%m-%d}: no day is between them.", 2)
    wanted = Wanted(
        procedures=tuple(map(one_line, procedures)),
        kind=kind,
        since=None if since is None else day_begins(since),
        until=None if until is None else day_begins(until, 1),
    )
    try:
        part = part_named(record or context.obj, schools, stations)
        found = gathered(part, wanted, SystemClock(), verified=verified)
        if every and out is not None:
            _every(found, out.expanduser(), paper)
            return
        material = found.of_class() if trainee is None else found.of_trainee(one_line(trainee))
    except Trouble as trouble:
        end(str(trouble), UNREADABLE)
    if not material.runs:
        warn("No run is in the record for what was asked: the page says so, and no more.")
    put(_page(replace(material, paper=paper), trainee), out)


def _every(found: Gathered, folder: Path, paper: Paper | None) -> None:
    """A page for each trainee and the list of them: all are there in the end, or none. Raises Trouble."""
    from trainer.insight.report.every import pages
    from trainer.record.exports.files import make_folder, write_all
    from trainer.run.ports import Trouble

    made = pages(found, paper)
    for path in (folder / name for name in made):
        if os.path.lexists(path):
            raise Trouble(f"{path} is there already and is left as it is. Name another folder with --out.")
    make_folder(folder)
    write_all({folder / name: parts for name, parts in made.items()}, force=False)
    said = "a page for one trainee" if len(made) == 2 else f"pages for {len(made) - 1} trainees"
    click.echo(f"Written: {one_line(str(folder))}, {said}, and index.html", err=True)


def _page(material: Material, trainee: str | None) -> str:
    """The page about the class, or about one trainee."""
    if trainee is None:
        from trainer.insight.report.page import as_page

        return as_page(material)
    from trainer.insight.report.trainee import as_trainee_page
    from trainer.insight.states import RULE

    return as_trainee_page(material, RULE)
