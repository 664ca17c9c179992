"""A shop's file says in which units its instruments show; a number is then asked for in those first."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import cast

import pint
import pytest
from run_kit import Sink
from stage import Stage, press, settled, text
from test_plain import Script

from trainer.run import events as e
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.session import Run
from trainer.screens.plain import PlainRun
from trainer.screens.station import Station
from trainer.screens.working import Working

PLATE = Path(__file__).resolve().parents[1] / "run" / "plate.yaml"
TYPED_KPA = 72
IN_INHG = pint.UnitRegistry[float]().Quantity(TYPED_KPA, "kPa").to("inch_Hg_0C").magnitude
"""What pint makes of it."""


def at_the_gauge(folder: Path, clock: FakeClock, shop: str) -> tuple[Station, Run]:
    """A station with this shop file, and a run that asks for the vacuum; the procedure keeps it in inHg."""
    (folder / "shop.yaml").write_text(f"format: 1\n{shop}", encoding="utf-8")
    (folder / "procedures").mkdir()
    shutil.copy2(PLATE, folder / "procedures")
    station = Station.open(
        record=folder / "record.db", shop=folder / "shop.yaml", procedures=folder / "procedures", clock=clock
    )
    run = station.open_run("plate", "T-01")
    sink = Sink(run.plan, run, clock, cast("FakeJournal", station.journal))
    sink.until("read-gauge")
    return station, run


def reading(station: Station, run: Run) -> e.ReadingTaken:
    """The reading that was taken last."""
    found = [event.body for event in station.journal.events(run.state.run)]
    return next(body for body in reversed(found) if isinstance(body, e.ReadingTaken))


@pytest.mark.parametrize(
    ("shop", "unit", "kept"),
    [("", "inHg", TYPED_KPA), ("units: us\n", "inHg", TYPED_KPA), ("units: metric\n", "kPa", IN_INHG)],
)
async def test_the_screen_asks_in_the_unit_that_is_read_off(
    tmp_path: Path, shop: str, unit: str, kept: float
) -> None:
    """Without a key for the unit: what is typed is in that unit, and kept in the procedure's."""
    clock = FakeClock()
    station, run = at_the_gauge(tmp_path, clock, shop)
    with station:
        stage = Stage(Working(station, run))
        async with stage.run_test(size=(80, 24)) as pilot:
            assert unit in text(stage)
            clock.pass_time(1)
            await press(pilot, *str(TYPED_KPA), "space")
            await settled(pilot)
        taken = reading(station, run)
    assert taken.typed_unit == unit
    assert taken.value == pytest.approx(kept)


@pytest.mark.parametrize(
    ("shop", "line", "unit"),
    [("", "21.5", "inHg"), ("units: metric\n", "72", "kPa"), ("units: metric\n", "21.5 inHg", "inHg")],
)
def test_lines_of_text_ask_in_it_too(tmp_path: Path, shop: str, line: str, unit: str) -> None:
    """A unit that is typed comes before the shop's."""
    clock = FakeClock()
    station, run = at_the_gauge(tmp_path, clock, shop)
    with station:
        clock.pass_time(1)
        script = Script(clock, [line])
        with pytest.raises(EOFError):
            PlainRun(station, run, script).go()
        taken = reading(station, run)
    assert taken.typed_unit == unit
    first = "kPa" if shop else "inHg"
    assert f"Type the number, in {first}." in script.text


def test_a_rehearsal_asks_in_what_its_bench_shows(tmp_path: Path) -> None:
    """The bench's gauge stands in the procedure's own unit, whatever instruments the shop has."""
    (tmp_path / "shop.yaml").write_text("format: 1\nunits: metric\n", encoding="utf-8")
    procedures = Path(__file__).resolve().parents[2] / "procedures"
    with Station.open(
        record=tmp_path / "record.db", shop=tmp_path / "shop.yaml", procedures=procedures, clock=FakeClock()
    ) as station:
        from trainer.screens.plain_bench import PlainRehearsal
        from trainer.screens.rehearsing import Rehearsing

        rehearsal = station.open_rehearsal("negative-plate-two-burns", "T-01")
        script = Script(FakeClock(), [])
        units = ("inHg", "kPa")
        assert Rehearsing(station, rehearsal).as_instruments_show(units) == units
        assert PlainRehearsal(station, rehearsal, script).view() == rehearsal.run.view()
