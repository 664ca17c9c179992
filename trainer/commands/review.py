"""`sinkside review`: after class, whom to help with what."""

from __future__ import annotations

from pathlib import Path

import click

from trainer import places


@click.command(short_help="After class: see whom to help with what.")
@click.option(
    "--record",
    "record",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The record, a file (else SINKSIDE_RECORD, else record.db in the data folder).",
)
@click.pass_context
def review(context: click.Context, record: Path | None) -> None:
    """Show what a class has done: trainees by skill, what stands out, and what each figure is made of.

    Ends with 2 where the record cannot be read. See `sinkside guide reviewer`.
    """
    from trainer.run.clock import SystemClock
    from trainer.screens.reviewing_app import run_review  # Textual: 150 ms

    raise SystemExit(run_review(places.record_path(record or context.obj).path, SystemClock()))
