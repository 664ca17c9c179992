"""`sinkside preview`: a procedure as a trainee sees it, while it is written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands import completing
from trainer.commands.saying import UNREADABLE, end

if TYPE_CHECKING:
    from trainer.run.events import Guidance


@click.command(short_help="Show a procedure as a trainee sees it, while you write it.")
@click.argument("file", shell_complete=completing.files)
@click.option(
    "--guidance",
    type=click.Choice(["full", "cued"]),
    default="full",
    show_default=True,
    help="How much a trainee is told.",
)
def preview(file: str, guidance: Guidance) -> None:
    """Draw FILE as a trainee sees it, and draw it anew whenever it is saved, at the same step.

    What is wrong stands beside the step it belongs to; so does what will not fit on 80 columns and 24 rows.
    """
    path = places.find_procedure(file) or Path(file)
    if not path.is_file():
        end(f"There is no file {file}. `sinkside new ID` begins one.", UNREADABLE)
    from trainer.screens.previewing_app import run_preview  # Textual: 150 ms

    raise SystemExit(run_preview(path, guidance))
