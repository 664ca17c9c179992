"""A station's name stands in every new run; no run is opened or gone on with among an invented class."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_ticket import PLATE

from trainer import tongue
from trainer.run.events import RunOpened
from trainer.run.fakes import FakeClock
from trainer.run.ports import Trouble
from trainer.screens.opening import practice
from trainer.screens.station import NotHere, Station


def station(folder: Path) -> Station:
    """A station of its own, as it starts; the same record each time."""
    procedures = folder / "procedures"
    procedures.mkdir(exist_ok=True)
    (procedures / "plate.yaml").write_bytes(PLATE.read_bytes())
    record, shop = folder / "record.db", folder / "shop.yaml"
    return Station.open(record=record, shop=shop, procedures=procedures, clock=FakeClock())


def named(folder: Path) -> str:
    """The station that a new wet run is kept under."""
    with station(folder) as here:
        opened = here.journal.events(here.open_run("plate", "T-01").view().run)[0].body
    assert isinstance(opened, RunOpened)
    return opened.station


def test_the_name_comes_from_the_shop_file_or_the_variable(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None; the shop file's; the variable's before it, cleaned and cut to 40 letters."""
    shop = tmp_path / "shop.yaml"
    assert named(tmp_path) == ""
    shop.write_text("format: 1\nstation: sink 2\n", encoding="utf-8")
    assert named(tmp_path) == "sink 2"
    monkeypatch.setenv("SINKSIDE_STATION", f"  sink\x1b 3 {'x' * 60}")
    assert named(tmp_path) == f"sink\u241b 3 {'x' * 32}"


def test_rehearsals_and_practice_are_of_a_station_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both keep the station that they were opened at."""
    monkeypatch.setenv("SINKSIDE_STATION", "sink 4")
    with station(tmp_path) as here:
        practice(here, "T-01", seed=3)
        here.open_rehearsal("negative-plate-two-burns", "T-01", seed=3)
        with here.journal.reading() as connection:
            rows = connection.execute("SELECT station, rehearsal FROM runs").fetchall()
    assert rows == [("sink 4", 1), ("sink 4", 1)]


def test_no_work_is_kept_among_an_invented_class(tmp_path: Path) -> None:
    """Opening a run, a rehearsal or practice, and going on with a run: each is refused, with what to do."""
    with station(tmp_path) as here:
        run = here.open_run("plate", "T-01").view().run
        assert here.notice == ""
        here.journal.set_about("invented", "7")
    with station(tmp_path) as here:
        assert here.notice == "This record holds an invented class (seed 7)."
        for act in (
            lambda: here.open_run("plate", "T-01"),
            lambda: here.open_rehearsal("negative-plate-two-burns", "T-01"),
            lambda: here.take_up(run),
            lambda: practice(here, "T-01"),
        ):
            with pytest.raises(
                Trouble, match=r"invented class \(seed 7\)\. Name another record with --record"
            ):
                act()
        with here.journal.reading() as connection:
            assert connection.execute("SELECT count(*) FROM runs").fetchone() == (1,)
        here.speak("es")
        assert here.notice == "Este registro contiene una clase inventada (semilla 7)."
        tongue.speak("en")


def test_a_shop_file_that_cannot_be_read_stops_a_run(tmp_path: Path) -> None:
    """A name that is none is told with its line before anything is kept."""
    with station(tmp_path) as here:
        here.shop_file.write_text("format: 1\nstation: 3\n", encoding="utf-8")
        with pytest.raises(NotHere, match=r"shop\.yaml:2:10: "):
            here.open_run("plate", "T-01")
