"""`sinkside report`: what came of a class, as one page to print."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from trainer.commands.naming import READ_OPTION, place_of
from trainer.commands.saying import UNREADABLE, end
from trainer.commands.writing import put
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.insight.report.material import Material

_DAY = click.DateTime(["%Y-%m-%d"])


@click.command(short_help="What came of a class, as one page to print.")
@READ_OPTION
@click.option(
    "--out", type=click.Path(path_type=Path), help="The file to write, such as class.html; else stdout."
)
@click.option("--since", type=_DAY, metavar="DATE", help="Runs opened on this day (2026-11-26) or later.")
@click.option("--until", type=_DAY, metavar="DATE", help="Runs opened on this day or before.")
@click.option(
    "--procedure", "procedures", multiple=True, metavar="ID", help="Runs of this procedure; may be repeated."
)
@click.option("--kind", type=click.Choice(["wet", "rehearsal"]), help="Runs of this kind.")
@click.option("--trainee", metavar="CODE", help="A page for this trainee, with nobody else's data in it.")
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
    since: datetime | None,
    until: datetime | None,
    procedures: tuple[str, ...],
    kind: Literal["wet", "rehearsal"] | None,
    trainee: str | None,
    paper: Literal["a4", "letter"] | None,
    *,
    verified: bool,
) -> None:
    """Write what the record shows about a class as one page of HTML that prints to A4 and Letter.

    First half a page in plain sentences: what to teach again, who is ready, what was wasted, what drifts.
    Then all of it in tables and charts. The page needs no network and runs nothing.
    """
    from trainer.insight.report.gather import of_record
    from trainer.insight.results import Wanted
    from trainer.run.clock import SystemClock
    from trainer.run.ports import Trouble

    wanted = Wanted(
        trainees=() if trainee is None else (one_line(trainee),),
        procedures=tuple(map(one_line, procedures)),
        kind=kind,
        since=None if since is None else since.astimezone(),
        until=None if until is None else (until + timedelta(days=1)).astimezone(),
    )
    try:
        material = of_record(place_of(record or context.obj), wanted, SystemClock(), verified=verified)
    except Trouble as trouble:
        end(str(trouble), UNREADABLE)
    put(_page(replace(material, paper=paper), trainee), out)


def _page(material: Material, trainee: str | None) -> str:
    """The page about the class, or about one trainee."""
    if trainee is None:
        from trainer.insight.report.page import as_page

        return as_page(material)
    from trainer.insight.report.trainee import as_trainee_page
    from trainer.insight.states import RULE

    return as_trainee_page(material, RULE)
