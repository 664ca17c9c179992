"""A rehearsal that has come to the gum: `d` puts more or less on, and the plate on the screen changes."""

from __future__ import annotations

import tempfile
from pathlib import Path

from trainer import places
from trainer.procedure.load import load
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walk_right import do_right
from trainer.rehearsal.walker import Walker
from trainer.screens.opening import Opened
from trainer.screens.sinkside import SinksideApp
from trainer.screens.station import Station
from trainer.screens.ticket import Wanted

STEP = "spread-gum"


def main() -> None:
    """Rehearse to that step, then show it."""
    plan = load(places.procedures_dir() / "negative-plate-two-burns.yaml").require()
    settings = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
    walker = Walker.start(Walk("bench", plan.procedure.id, rehearsal=True), plan, settings)
    while walker.run.state.step != STEP:
        do_right(walker)
    with (
        tempfile.TemporaryDirectory() as folder,
        Station.open(record=Path(folder) / "record.db", clock=walker.clock) as station,
    ):
        SinksideApp(station, Wanted(), Opened(walker.run, walker.rehearsal)).run()


if __name__ == "__main__":
    main()
