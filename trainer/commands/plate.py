"""`sinkside record plate`: the plate of a rehearsal, made again and saved as a picture."""

from __future__ import annotations

from pathlib import Path

import click

from trainer import places
from trainer.commands.saying import sentences


@click.command("plate", short_help="Save the plate of a rehearsal as a PNG file.")
@click.argument("run")
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The file to write, a new one.")
@click.option("--dpi", default=150, show_default=True, type=click.IntRange(20, 600), help="Pixels an inch.")
@click.pass_obj
def plate(given: Path | None, run: str, out: Path, dpi: int) -> None:
    """Make the last plate of the rehearsal RUN again, from what the record holds, and save it as a PNG file.

    RUN is the run's id, or as much of its beginning as no other has (`sinkside record as-walk` lists them).
    """
    from trainer.commands.writing import save
    from trainer.record.find_run import run_called
    from trainer.record.journal import StationJournal
    from trainer.rehearsal.plate_picture import png_of
    from trainer.run.clock import SystemClock

    path = places.record_path(given).path
    with sentences(), StationJournal(path, SystemClock(), make=False) as journal:
        save(png_of(journal.events(run_called(journal, run)), dpi), out)
