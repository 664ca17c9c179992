"""The way into the screens: looks whether there is a terminal, opens what is asked for, and runs the app."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from trainer.procedure.text import clean
from trainer.run.ports import Trouble
from trainer.screens.leaving import keep_fault, say_fault, tell
from trainer.screens.ticket import Wanted

if TYPE_CHECKING:
    from trainer.run.events import Guidance
    from trainer.run.session import Run
    from trainer.screens.station import Station

NO_TERMINAL = (
    "There is no terminal here to draw on. Use `sinkside run --plain`, which asks and answers in lines."
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
    what is given. 0: left or done; 1: an error, said on stderr; 2: one of stdin, stdout and stderr is no
    terminal (its size is asked of stdout, the screen goes to stderr); 129, 130, 131, 143: ended by a signal.
    """
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        tell(NO_TERMINAL)
        return 2
    wanted = Wanted(
        run=run_id or "",
        trainee=clean(trainee or ""),
        procedure=procedure or "",
        guidance=guidance or "full",
        job=clean(job),
        colour=clean(colour),
    )
    return _run(station, wanted)


def _run(station: Station, wanted: Wanted) -> int:
    from trainer.procedure.problems import ProcedureProblems

    try:
        run = _opened(station, wanted)
    except (Trouble, ProcedureProblems) as told:
        tell(str(told))
        return 1
    from trainer.screens.sinkside import SinksideApp  # Textual: 150 ms, only where a screen is drawn

    app = SinksideApp(station, wanted, run)
    app.run()
    if app.fault is not None:
        if app.ended_by:  # a screen that was only half there; the signal is what ended the program
            keep_fault(app.fault)
            return app.ended_by
        return say_fault(app.fault)
    if app.said:
        tell(app.said)
        return 1
    if app.left_open:
        tell(f"The run of {app.left_open} stays open. Go on with it: sinkside run")
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
