"""The way into the screens: looks whether there is a terminal, opens what is asked for, and runs the app."""

from __future__ import annotations

import sys
import traceback
from typing import TYPE_CHECKING

from trainer import places
from trainer.run.ports import Trouble
from trainer.screens.ticket import Wanted

if TYPE_CHECKING:
    from trainer.run.events import Guidance
    from trainer.run.session import Run
    from trainer.screens.station import Station

NO_TERMINAL = (
    "There is no terminal here to draw on. Use `sinkside run --plain`, which asks and answers in lines.\n"
)


def run_app(  # noqa: PLR0913 - what the command said, each by its name
    station: Station,
    *,
    procedure: str | None = None,
    trainee: str | None = None,
    guidance: Guidance | None = None,
    job: str = "",
    colour: str = "",
    run_id: str | None = None,
) -> int:
    """Run the screens and return the exit code.

    run_id: go on with that run. procedure and trainee: begin that at once. Else the start screen, filled with
    what is given. 0: left or done; 1: an error, said on stderr; 2: no terminal; 143, 129: ended by a signal.
    """
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        sys.stderr.write(NO_TERMINAL)
        return 2
    wanted = Wanted(
        run=run_id or "",
        trainee=trainee or "",
        procedure=procedure or "",
        guidance=guidance or "full",
        job=job,
        colour=colour,
    )
    return _run(station, wanted)


def _run(station: Station, wanted: Wanted) -> int:
    from trainer.procedure.problems import ProcedureProblems

    try:
        run = _opened(station, wanted)
    except (Trouble, ProcedureProblems) as told:
        sys.stderr.write(f"{told}\n")
        return 1
    from trainer.screens.sinkside import SinksideApp  # Textual: 150 ms, only where a screen is drawn

    app = SinksideApp(station, wanted, run)
    app.run()
    if app.fault is not None:
        return _say_fault(app.fault)
    if app.said:
        sys.stderr.write(f"{app.said}\n")
        return 1
    if app.left_open:
        sys.stderr.write(f"The run of {app.left_open} stays open. Go on with it: sinkside run\n")
    return app.return_code or 0


def _opened(station: Station, wanted: Wanted) -> Run | None:
    """The run to go on with, taken up before there is a screen, so that trouble is said in plain lines.

    A procedure with words before its first act is loaded while they are read.
    """
    if wanted.run:
        return station.take_up(wanted.run)
    if wanted.procedure and wanted.trainee:
        station.code(wanted.trainee)
        if not station.before(wanted.procedure)[1]:
            station.load(wanted.procedure)
    return None


FAULT = "Something went wrong that was not foreseen. What was kept is safe: go on with it by sinkside run."


def _say_fault(fault: BaseException) -> int:
    """Write an error that nobody foresaw to the log, and say where it is. Returns the exit code."""
    path = places.log_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("a", encoding="utf-8") as log:
            log.write("".join(traceback.format_exception(fault)) + "\n")
    except OSError as error:
        sys.stderr.write(f"{FAULT}\nThe details could not be written to {path}: {error.strerror}.\n")
        return 1
    sys.stderr.write(f"{FAULT}\nThe details are in {path}.\n")
    return 1
