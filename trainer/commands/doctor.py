"""`sinkside record doctor`: what is wrong with a station, and how to mend it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places

if TYPE_CHECKING:
    from trainer.record.doctor.told import Told


@click.command("doctor", short_help="Tell what is wrong with this station, and how to mend it.")
@click.option("--json", "as_json", is_flag=True, help="For a program to read.")
@click.pass_obj
def doctor(given: Path | None, *, as_json: bool) -> None:
    """Look over the station: its files, record, clock, terminal, shop's numbers; each with what mends it.

    Nothing is changed. Ends with 0: fine. 1: something to mend. 2: something could not be looked at.
    """
    from trainer.record.doctor.asked import here
    from trainer.record.doctor.examine import examine
    from trainer.record.doctor.told import Diagnosis
    from trainer.run.clock import SystemClock

    record = places.record_path(given)
    shop = places.shop_path().path
    asked = here(record.path, record.source, shop, places.procedures_dir(), SystemClock())
    found = examine(asked)
    found = Diagnosis((*found.told, _bench()))
    click.echo(found.as_json() if as_json else found.as_text(asked.screen.columns))
    raise SystemExit(found.exit_code)


def _bench() -> Told:
    """The shop's own numbers for the simulated bench, read as a rehearsal reads them."""
    from trainer.procedure.problems import ProcedureProblems
    from trainer.record.doctor.asked import quoted
    from trainer.record.doctor.told import fine, mend
    from trainer.rehearsal.bench_settings import read_bench

    path = places.bench_path()
    try:
        read_bench()
    except ProcedureProblems as wrong:
        said = f"The bench's numbers cannot be used, and nothing can be rehearsed: {wrong}"
        return mend("bench", said, "Mend them as it says.", f"$EDITOR {quoted(path)}")
    return fine(
        "bench", f"The bench works with {path}" if path.exists() else "The bench works with its own numbers"
    )
