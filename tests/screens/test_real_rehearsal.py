"""The screens over a real rehearsal: from the start screen to the plate that was made, by keys alone."""

from __future__ import annotations

import re
from pathlib import Path

from stage import press, text
from test_app import settled_screen, until

from trainer.screens.after import After
from trainer.screens.practising import Practising
from trainer.screens.rehearsing import Rehearsing
from trainer.screens.sinkside import SinksideApp
from trainer.screens.start import Start
from trainer.screens.station import Station
from trainer.screens.ticket import Wanted

SHORT = """
format: 1
id: short
title: Light on a plate
revision: 1
summary: A plate is lit in its frame, without a film.
stages:
  - id: only
    title: Only
    steps:
      - {id: take, do: Take a plate., bench: {take: on}}
      - {id: load, do: Put it into the frame., bench: {power: on, glass: locked}}
      - {id: light, do: Light it., bench: {units: 24, lamp: on}}
      - {id: look, do: Look at it.}
"""


def short(folder: Path) -> Station:
    """A station with that procedure."""
    (folder / "short.yaml").write_text(SHORT, encoding="utf-8")
    return Station.open(record=folder / "r.db", procedures=folder, shop=folder / "s.yaml")


async def test_from_the_start_screen_to_the_plate(tmp_path: Path) -> None:
    """A rehearsal is chosen, controls are operated by hand, light falls, and the plate's page comes.

    Light with the lamp side open is refused, and the keys go to that first, then back to the lamp.
    """
    with short(tmp_path) as here:
        app = SinksideApp(here, Wanted(trainee="T-01"), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Start)
            await settled_screen(pilot)
            await press(pilot, "up", "up", "up", "up", "right", "down", "down", "down", "down", "enter")
            await until(app, pilot, Rehearsing)
            screen = app.screen
            assert isinstance(screen, Rehearsing)
            screen.run.guard_ms = 0
            await press(pilot, "2", "space")
            await press(pilot, "2", "c", "3", "space")
            assert screen.shown.act == "Light it."
            await press(pilot, "2", "4", "space")
            while screen.at != "lamp":
                await press(pilot, "c")
            await press(pilot, "2")
            assert "interlock" in text(app)
            await press(pilot, "2", "2", "e", "space")
            assert screen.rehearsal.work().burns[0].units == 24.0
            await press(pilot, "space")
            await until(app, pilot, After)
            await settled_screen(pilot)
            assert "NOT GOOD" in text(app)
            await press(pilot, "space")
            await settled_screen(pilot)
            assert "DONE" in text(app)
        assert app.fault is None


async def test_an_open_rehearsal_is_marked_and_gone_on_with(tmp_path: Path) -> None:
    """A rehearsal that was left stands in the list as one, and going on with it is a rehearsal again."""
    with short(tmp_path) as here:
        left = here.open_rehearsal("short", "T-02", seed=1)
        left.set("take", "on")
        app = SinksideApp(here, Wanted(), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Start)
            await settled_screen(pilot)
            assert re.search(r"T-02  \d\d-\d\d \d\d:\d\d  rehearsal  ", text(app))
            await press(pilot, "enter")
            await until(app, pilot, Rehearsing)
            screen = app.screen
            assert isinstance(screen, Rehearsing)
            assert screen.shown.act == "Take a plate."
            assert screen.bench.shown == "plate"
            await press(pilot, "q")
            await settled_screen(pilot)
        assert app.left_open == "T-02"


async def test_a_rehearsal_given_up_before_any_light_has_no_plate_to_judge(tmp_path: Path) -> None:
    """Where nothing was done to a plate the summary comes at once."""
    with short(tmp_path) as here:
        app = SinksideApp(here, Wanted(trainee="T-03", procedure="short", rehearsal=True), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Rehearsing)
            await press(pilot, "g", "2", *"ill", "enter")
            await settled_screen(pilot)
            assert "STOPPED" in text(app)
        assert app.fault is None


async def test_fault_practice_from_a_code_to_its_summary(tmp_path: Path) -> None:
    """A code is asked, a plate is looked at and measured; leaving shows the summary, nothing stays open."""
    with short(tmp_path) as here:
        app = SinksideApp(here, Wanted(faults=True), None, seed=5)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled_screen(pilot)
            await press(pilot, *"t-05", "enter")
            await until(app, pilot, Practising)
            screen = app.screen
            assert isinstance(screen, Practising)
            await press(pilot, "r", "1", "space", "q")
            await settled_screen(pilot)
            assert "Fault practice" in text(app)
            assert "STOPPED" in text(app)
        assert app.fault is None
        assert here.open_runs() == []


async def test_what_cannot_be_rehearsed_is_said_and_what_was_typed_stays(tmp_path: Path) -> None:
    """Work that only looks as if it used the bench is refused on the start screen, which keeps what stood."""
    with short(tmp_path) as here:
        bare = SHORT.replace(", bench: {take: on}", "").split("      - {id: load")[0]
        (tmp_path / "short.yaml").write_text(bare + "# bench: nothing yet\n", encoding="utf-8")
        app = SinksideApp(here, Wanted(), None)
        async with app.run_test(size=(80, 24)) as pilot:
            await until(app, pilot, Start)
            await settled_screen(pilot)
            await press(pilot, *"t-08", "down", "down", "right", "down", "down", "down", "down", "enter")
            for _ in range(3):
                await settled_screen(pilot)
            shown = text(app)
            assert "as a wet run." in shown
            assert "t-08" in shown
            assert "rehearsal, on a simulated bench" in shown
        assert here.open_runs() == []
