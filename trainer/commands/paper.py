"""`sinkside paper`: a procedure as a page to print."""

from __future__ import annotations

from pathlib import Path

import click

from trainer import places, tongue
from trainer.commands import completing
from trainer.commands.saying import sentences
from trainer.commands.writing import put


@click.command(short_help="A page to print, for the day the terminal is down.")
@click.argument("procedure", shell_complete=completing.procedures)
@click.option(
    "--out", type=click.Path(path_type=Path), help="The file to write, such as plate.html; else stdout."
)
def paper(procedure: str, out: Path | None) -> None:
    """Write PROCEDURE (an id or a file) as one page of HTML that prints to A4 and Letter.

    Acts, key points, reasons, safety prompts, settings, boxes to tick and lines to write on; at its end the
    answers to the questions, on a page of their own.
    """
    from trainer.procedure.load import load
    from trainer.procedure.paper.page import as_page
    from trainer.procedure.pictures import read_picture

    file = places.find_procedure(procedure) or Path(procedure)
    found = load(file)
    with sentences():
        plan = found.require()
    named = {step.picture for step in plan.steps.values() if step.picture is not None}
    drawn = {name: read_picture(file, name) or () for name in sorted(named)}
    put(as_page(plan, tongue.language(), drawn), out)
