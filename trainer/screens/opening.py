"""Opening a run or going on with one, wet or rehearsed, for the app."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.screens.ticket import Wanted

if TYPE_CHECKING:
    from trainer.rehearsal.rehearsal import Rehearsal
    from trainer.run.session import Run
    from trainer.screens.station import Station


@dataclass(frozen=True, slots=True)
class Opened:
    """A run that can be shown; in a rehearsal with its bench."""

    run: Run
    rehearsal: Rehearsal | None = None


def taken_up(station: Station, run_id: str) -> Opened:
    """Go on with an open run of either kind. Raises Trouble, ProcedureProblems."""
    if any(left.run == run_id and left.rehearsal for left in station.open_runs()):
        rehearsal = station.take_up_rehearsal(run_id)
        return Opened(rehearsal.run, rehearsal)
    return Opened(station.take_up(run_id))


def begun(station: Station, wanted: Wanted) -> Opened:
    """Begin what is wanted. Raises Trouble, ProcedureProblems."""
    if wanted.rehearsal:
        rehearsal = station.open_rehearsal(
            wanted.procedure, wanted.trainee, guidance=wanted.guidance, job=wanted.job, colour=wanted.colour
        )
        return Opened(rehearsal.run, rehearsal)
    run = station.open_run(
        wanted.procedure, wanted.trainee, guidance=wanted.guidance, job=wanted.job, colour=wanted.colour
    )
    return Opened(run)
