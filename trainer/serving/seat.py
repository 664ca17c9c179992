"""What the server starts for each browser: the screens, with a server at the other end of stdin and stdout.

Called as `python -m trainer.serving.seat RECORD LANGUAGE`, by the server only.
"""

from __future__ import annotations

import sys
from pathlib import Path

from trainer import tongue
from trainer.run.ports import Trouble
from trainer.screens.leaving import hold_signals, keep_fault, let_signals_come, say_fault, tell
from trainer.screens.station import Station


def main(record: Path, language: str) -> int:
    """Run the screens; the exit code is as of `screens.app.run_app`."""
    tongue.speak(language)
    try:
        with Station.open(record=record, language=language) as station:
            return _screens(station)
    except Trouble as told:
        tell(str(told))
        return 1


def _screens(station: Station) -> int:
    from trainer.screens.sinkside import SinksideApp  # what can go wrong with the record is said without it
    from trainer.screens.ticket import Wanted

    app = SinksideApp(station, Wanted(), None)
    hold_signals()  # the app lets them come as soon as it listens for them
    app.run()
    let_signals_come()
    if app.fault is not None and not app.ended_by:
        return say_fault(app.fault)
    if app.fault is not None:  # a screen that was only half there; the signal is what ended the program
        keep_fault(app.fault)
    return app.ended_by or app.return_code or 0


if __name__ == "__main__":
    raise SystemExit(main(Path(sys.argv[1]), sys.argv[2]))
