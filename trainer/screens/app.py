"""The way into the screens: looks whether there is a terminal, opens what is asked for, and runs the app."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from trainer import garbage
from trainer.procedure.text import clean
from trainer.run.ports import Trouble
from trainer.screens.alone import has_terminal
from trainer.screens.leaving import (
    Signalled,
    hold_signals,
    keep_fault,
    let_signals_come,
    say_fault,
    signals_raised,
    tell,
)
from trainer.screens.opening import Opened, taken_up
from trainer.screens.ticket import Wanted
from trainer.tongue import marked, spoken

if TYPE_CHECKING:
    from trainer.run.events import Guidance
    from trainer.screens.station import Station

NO_TERMINAL = marked(
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
    rehearsal: bool = False,
) -> int:
    """Run the screens and return the exit code.

    run_id: go on with that run. procedure and trainee: begin that at once, or a rehearsal of it. Else the
    start screen, filled with what is given. 0: left or done; 1: an error, said on stderr; 2: one of stdin,
    stdout and stderr is no terminal (its size is asked of stdout, the screen goes to stderr); 129, 130, 131,
    143: ended by a signal.
    """
    if not has_terminal():
        tell(spoken(NO_TERMINAL))
        return 2
    wanted = Wanted(
        run=run_id or "",
        trainee=clean(trainee or ""),
        procedure=procedure or "",
        guidance=guidance or "full",
        job=clean(job),
        colour=clean(colour),
        rehearsal=rehearsal,
    )
    return _run(station, wanted)


def run_faults(station: Station, *, trainee: str | None = None, seed: int | None = None) -> int:
    """Fault practice on the screen: plates with hidden faults. The exit code is as of `run_app`.

    trainee: asked for where it is not given. seed: what the plates are drawn from; a new one if not given.
    """
    if not has_terminal():
        tell(spoken(NO_TERMINAL).replace("sinkside run", "sinkside faults"))
        return 2
    return _run(station, Wanted(trainee=clean(trainee or ""), faults=True), seed)


def _run(station: Station, wanted: Wanted, seed: int | None = None) -> int:
    with garbage.held_back():
        return _seen_to_its_end(station, wanted, seed)


def _seen_to_its_end(station: Station, wanted: Wanted, seed: int | None) -> int:
    from trainer.procedure.problems import ProcedureProblems

    try:
        with signals_raised():
            opened = _opened(station, wanted)
            from trainer.screens.forwarding import Forwarding
            from trainer.screens.sinkside import SinksideApp  # Textual: 150 ms, only where a screen is drawn

            app = SinksideApp(station, wanted, opened, seed)
            forwarding = app.forwarding = Forwarding(station.journal.path, station.clock)
            hold_signals()  # the app lets them come as soon as it listens for them
    except (Trouble, ProcedureProblems) as told:
        tell(str(told))
        return 1
    except Signalled as ended:
        _tell_if_open(station, wanted.run)
        return ended.code
    app.run()
    let_signals_come()
    forwarding.end()
    if app.fault is not None and not app.ended_by:
        return say_fault(app.fault)
    if app.fault is not None:  # a screen that was only half there; the signal is what ended the program
        keep_fault(app.fault)
    if app.said:
        tell(app.said)
        return 1
    if app.left_open:
        _tell_open(app.left_open)
    return app.ended_by or app.return_code or 0


def _tell_if_open(station: Station, run: str) -> None:
    """Whose run it is that was to be gone on with, where the record can still be read."""
    with contextlib.suppress(Trouble):
        for left in station.open_runs():
            if left.run == run:
                _tell_open(left.trainee)


def _tell_open(trainee: str) -> None:
    tell(spoken("The run of {trainee} stays open. Go on with it: sinkside run", trainee=trainee))


def _opened(station: Station, wanted: Wanted) -> Opened | None:
    """The run to go on with, taken up before there is a screen, so that trouble is said in plain lines.

    A procedure with words before its first act is loaded while they are read.
    """
    if wanted.run:
        return taken_up(station, wanted.run)
    if wanted.procedure and wanted.trainee:
        station.code(wanted.trainee)
        if not station.before(wanted.procedure)[1]:
            station.load(wanted.procedure)
    return None
