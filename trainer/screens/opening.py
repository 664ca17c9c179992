"""Opening a run or going on with one, wet or rehearsed, and fault practice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.screens.ticket import Wanted

if TYPE_CHECKING:
    from trainer.rehearsal.practice import Practice
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


def practice(station: Station, trainee: str, seed: int | None = None) -> Practice:
    """Begin fault practice, on what this trainee finds hard. Raises Trouble."""
    from trainer.record.practised import faults_of
    from trainer.rehearsal.bench_settings import read_bench
    from trainer.rehearsal.practice import Practice  # NumPy: 80 ms, only where plates are drawn
    from trainer.run.ids import new_run_id

    who = station.code(trainee)
    station.refuse_invented()
    return Practice.open(
        run=new_run_id(station.clock),
        trainee=who,
        journal=station.journal,
        clock=station.clock,
        settings=read_bench(),
        past=faults_of(station.journal, who),
        seed=seed,
        language=station.language,
        station=station.name(),
    )
