"""A station with one small procedure, the plate of the run's own tests."""

from __future__ import annotations

import shutil
from pathlib import Path

from trainer.run.fakes import FakeClock
from trainer.screens.station import Station

PLATE = Path(__file__).parents[2] / "run" / "plate.yaml"


def plate_station(folder: Path, clock: FakeClock) -> Station:
    """A terminal of the station in `folder`, made where it is not there. Raises Trouble."""
    procedures = folder / "procedures"
    if not procedures.exists():
        procedures.mkdir(parents=True)
        shutil.copy2(PLATE, procedures)
    shop = folder / "shop.yaml"
    return Station.open(record=folder / "record.db", shop=shop, procedures=procedures, clock=clock)
