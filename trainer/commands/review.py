"""`sinkside review`: after class, whom to help with what."""

from __future__ import annotations

from pathlib import Path

import click

from trainer.commands.naming import READ_OPTION, place_of
from trainer.commands.saying import UNREADABLE, end


@click.command(short_help="After class: see whom to help with what.")
@READ_OPTION
@click.pass_context
def review(context: click.Context, record: str | Path | None) -> None:
    """Show what a class has done: trainees by skill, what stands out, and what each figure is made of.

    Ends with 2 where the record cannot be read. See `sinkside guide reviewer`.
    """
    from trainer.run.clock import SystemClock
    from trainer.run.ports import Trouble
    from trainer.screens.reviewing_app import run_review  # Textual: 150 ms

    try:
        place = place_of(record or context.obj)
    except Trouble as told:
        end(str(told), UNREADABLE)
    raise SystemExit(run_review(place, SystemClock()))
