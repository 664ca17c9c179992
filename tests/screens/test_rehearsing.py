"""The screen of a rehearsal: every key reaches the bench or the run, and what they show is drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bench_stand_ins import (
    BENCH,
    COUNT,
    COVERAGE,
    GLASS,
    LAMP,
    PUMP,
    RUBBING,
    UNITS,
    HandRehearsal,
    HandSight,
    HandWork,
)
from stage import Stage, compare, press, text
from stand_ins import CONFIRM, VIEWS, ViewStation

from trainer.rehearsal.bench_view import BenchView
from trainer.run.fakes import FakeSignOff
from trainer.run.refusals import Refused
from trainer.run.view import RunView
from trainer.screens import actions, looking, rehearsing
from trainer.screens.rehearsing import Rehearsing
from trainer.screens.widgets.keys import Keys
from trainer.screens.widgets.pane import Pane
from trainer.screens.widgets.place import Place


@pytest.fixture(autouse=True)
def _sight(monkeypatch: pytest.MonkeyPatch) -> None:
    """The plate is drawn by hand: what it looks like is the bench's business."""
    monkeypatch.setattr(looking, "sight", HandSight())
    monkeypatch.setattr(rehearsing, "Before", lambda rehearsal: rehearsal)


def on_stage(bench: BenchView = BENCH, view: RunView = CONFIRM) -> tuple[Stage, HandRehearsal]:
    """A rehearsal by hand, and its stage."""
    rehearsal = HandRehearsal(bench, view)
    screen = Rehearsing(ViewStation(FakeSignOff({})), rehearsal)  # type: ignore[arg-type] # as much as is asked
    return Stage(screen), rehearsal


ONE = replace(BENCH, controls=(PUMP,))
NUMBER = replace(BENCH, controls=(UNITS,))
HELD = replace(BENCH, controls=(RUBBING,))
GOING = replace(BENCH, controls=(replace(RUBBING, value="all-over", going=True, done="43 %"),), busy="hand")
WAITING = replace(BENCH, busy="light", gauges=(LAMP, COUNT))


@pytest.mark.parametrize(
    ("bench", "view", "keys", "did"),
    [
        (ONE, "confirm", ["2"], [("set", "pump", "on")]),
        (ONE, "confirm", ["d"], [("set", "pump", "on")]),
        (ONE, "confirm", ["d", "d"], [("set", "pump", "on"), ("set", "pump", "off")]),
        (ONE, "confirm", ["3", "9"], []),
        (ONE, "confirm", ["space"], [("next",)]),
        (BENCH, "confirm", ["3", "c", "2"], [("set", "glass", "locked"), ("set", "pump", "on")]),
        (BENCH, "confirm", ["c", "c", "2"], [("set", "glass", "closed")]),
        (BENCH, "confirm", ["k", "c", "c", "c", "2"], [("set", "wedge", "on")]),
        (NUMBER, "confirm", ["2", "4", "space"], [("set", "units", 24.0)]),
        (NUMBER, "confirm", ["2", "4", "comma", "5", "space", "space"], [("set", "units", 24.5), ("next",)]),
        (NUMBER, "confirm", ["minus", "space"], []),
        (NUMBER, "confirm", ["space"], [("next",)]),
        (HELD, "confirm", ["3", "d"], [("set", "rubbing", "all-over"), ("let_go",)]),
        (GOING, "confirm", ["d"], [("let_go",)]),
        (replace(GOING, controls=(), others=GOING.controls), "confirm", ["d"], [("let_go",)]),
        (WAITING, "confirm", ["e"], [("to_the_end",)]),
        (BENCH, "confirm", ["e"], []),
        (BENCH, "confirm", ["f", "f"], [("set_speed", 5.0), ("set_speed", 1.0)]),
        (BENCH, "hazard", ["2", "d", "c", "i", "k", "f", "e", "a"], [("accept",)]),
        (BENCH, "paused", ["2", "d", "c", "e", "f"], []),
        (replace(BENCH, controls=()), "judge", ["2"], [("pick", 2)]),
        (ONE, "judge", ["2", "c", "2"], [("set", "pump", "on"), ("pick", 2)]),
        (ONE, "judge", ["space", "1"], [("set", "pump", "off")]),
        (ONE, "reading", ["2", "space", "7", "space"], [("set", "pump", "on"), ("enter", "7", "inHg")]),
        (
            NUMBER,
            "reading",
            ["9", "space", "space", "7", "u", "space"],
            [("set", "units", 9.0), ("enter", "7", "kPa")],
        ),
    ],
)
@pytest.mark.sweep(quick=8)
async def test_a_key_reaches_the_bench_or_the_run(
    bench: BenchView, view: str, keys: list[str], did: list[tuple[object, ...]]
) -> None:
    """Digits go to the marked control, `c` marks the next, and nothing is set that no key asked for."""
    stage, rehearsal = on_stage(bench, VIEWS[view])
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, *keys)
        assert rehearsal.run.did == did


async def test_where_another_control_comes_first_the_keys_go_to_it() -> None:
    """A refusal marks the control that it names; where that one is seen to, the keys go back."""
    stage, rehearsal = on_stage(BENCH)
    rehearsal.refuses = Refused("The pump is off.", "pump")
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "2", "2")
        assert rehearsal.run.did == [("set", "pump", "on")]
        rehearsal.shows = replace(rehearsal.shows, controls=(UNITS, GLASS))
        await press(pilot, "f", "3")
        assert rehearsal.run.did[-1] == ("set", "glass", "locked")


async def test_a_refusal_is_said() -> None:
    """What the bench refuses stands on the screen in its sentence."""
    stage, rehearsal = on_stage(BENCH)
    rehearsal.refuses = Refused("The glass is open.")
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "2")
        assert "The glass is open." in text(stage)


@pytest.mark.parametrize(
    ("bench", "view"),
    [(BENCH, "confirm"), (ONE, "judge"), (NUMBER, "reading"), (GOING, "countdown"), (WAITING, "dose")],
)
@pytest.mark.sweep(quick=2)
async def test_the_row_names_only_keys_that_work(bench: BenchView, view: str) -> None:
    """Whatever the row names, its action is among those that work; pressing none of them raises."""
    stage, _ = on_stage(bench, VIEWS[view])
    async with stage.run_test(size=(200, 40)) as pilot:
        screen = stage.first
        assert isinstance(screen, Rehearsing)
        row = screen.query_one(Keys).shown
        for action in actions.ACTIONS:
            named = f" {action.shown}  {action.words}" in row and action.id not in {"next", "help"}
            assert not named or action.act in screen.acts()
        await press(pilot, "i", "right", "m", "i")


async def test_the_speed_of_time_is_always_said() -> None:
    """At every kind of moment the screen says how fast simulated time runs, or that it stands still."""
    stage, rehearsal = on_stage()
    async with stage.run_test(size=(80, 24)) as pilot:
        screen = stage.first
        assert isinstance(screen, Rehearsing)
        for view in ("confirm", "countdown", "judge", "reading", "hazard", "paused"):
            rehearsal.run.shows = replace(VIEWS[view], rehearsal=True)
            for speed, busy in ((1.0, False), (5.0, True)):
                rehearsal.shows = replace(BENCH, speed=speed, busy="wait" if busy else "")
                screen.time_goes_by()
                await pilot.pause()
                said = "time stands still" if view == "paused" else f"time {speed:g}x"
                assert said in text(stage), view


async def test_the_plate_stands_beside_from_100_columns() -> None:
    """At 99 columns the plate is behind its key, at 100 beside the act; both show the same plate."""
    for width, beside in ((99, False), (100, True)):
        stage, _ = on_stage()
        async with stage.run_test(size=(width, 30)) as pilot:
            await pilot.pause()
            assert stage.screen.query_one(Pane).display == beside
            assert ("...." in text(stage)) == beside
            await press(pilot, "i")
            await pilot.pause()
            assert "...." in text(stage)
            assert "oooo" in text(stage)
            await press(pilot, "space")
            assert "oooo" not in text(stage)


async def test_the_loupe_says_where_it_is() -> None:
    """The cursor keys move the loupe and its place in mm follows; `m` changes how much it magnifies."""
    stage, rehearsal = on_stage()
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "right", "i")
        await pilot.pause()
        assert "125.0 mm from the left, 200.0 mm from the top" in text(stage)
        await press(pilot, "right", "down")
        after = text(stage)
        assert "125.0 mm" not in after
        assert "200.0 mm" not in after
        assert "Loupe 5x" in after
        await press(pilot, "m")
        assert "Loupe 15x" in text(stage)
        assert rehearsal.run.did == []


async def test_a_plate_that_changes_is_drawn_anew() -> None:
    """What is done to the plate shows at the next tick without a key."""
    stage, rehearsal = on_stage()
    async with stage.run_test(size=(120, 30)) as pilot:
        await pilot.pause()
        assert "#" * 20 not in text(stage)
        rehearsal.made = HandWork("#", "exposed")
        screen = stage.first
        assert isinstance(screen, Rehearsing)
        screen.time_goes_by()
        await pilot.pause()
        assert "#" * 20 in text(stage)
        assert "exposed" in text(stage)


async def test_a_gauge_climbs_without_a_key() -> None:
    """A tick draws the gauges as they stand then; one that is off is not drawn."""
    stage, rehearsal = on_stage()
    async with stage.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "18.4 inHg" in text(stage)
        assert "Timer" not in text(stage)
        gauge = replace(BENCH.gauges[0], value=21.0, shown="21.0 inHg")
        rehearsal.shows = replace(BENCH, gauges=(gauge,))
        screen = stage.first
        assert isinstance(screen, Rehearsing)
        screen.time_goes_by()
        await pilot.pause()
        assert "21.0 inHg" in text(stage)


async def test_looking_back_operates_nothing() -> None:
    """While an earlier step is looked at no control is shown and no key moves one."""
    stage, rehearsal = on_stage(ONE)
    rehearsal.run.earlier = [CONFIRM]
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", "2", "d", "k")
        assert rehearsal.run.did == []
        assert "Pump" not in text(stage)


async def test_another_step_marks_its_first_control() -> None:
    """The mark goes back to the first control as soon as another step is shown."""
    stage, rehearsal = on_stage(BENCH)

    def on(moved: HandRehearsal) -> None:
        moved.run.shows = replace(moved.run.shows, step="other")

    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "c")
        rehearsal.run.then = lambda run: on(rehearsal)  # noqa: ARG005 - as the run calls it
        await press(pilot, "space", "2")
        assert rehearsal.run.did == [("next",), ("set", "glass", "closed")]


async def test_words_of_the_bench_are_literal() -> None:
    """What looks like markup in a word of the bench stands as it is."""
    strange = replace(GLASS, label="[b]Glass[/]", shown="[red]open")
    stage, _ = on_stage(replace(BENCH, controls=(strange,), notice="[CAUTION] seen", signs=("[/nope]",)))
    async with stage.run_test(size=(80, 24)):
        shown = text(stage)
        assert all(word in shown for word in ("[b]Glass[/]", "[red]open", "[CAUTION] seen", "[/nope]"))


async def test_a_click_on_a_position_sets_it() -> None:
    """The mouse does what the digit does; a click on the plate opens the loupe there."""
    stage, rehearsal = on_stage(ONE)
    async with stage.run_test(size=(120, 30)) as pilot:
        await pilot.pause()
        rows = text(stage).split("\n")
        line = next(number for number, row in enumerate(rows) if " 2  □ on" in row)
        await pilot.click(offset=(10, line))
        assert rehearsal.run.did == [("set", "pump", "on")]
        await pilot.click(offset=(100, 12))
        await pilot.pause()
        assert "Loupe" in text(stage)
        assert "REHEARSAL" in stage.screen.query_one(Place).shown


GOLDEN: dict[str, tuple[BenchView, str, list[str]]] = {
    "two-controls": (BENCH, "confirm", []),
    "number": (replace(NUMBER, gauges=(COUNT,)), "confirm", ["2", "4"]),
    "held": (replace(GOING, gauges=(COVERAGE, LAMP)), "window", []),
    "light": (replace(WAITING, controls=(PUMP,), speed=5.0), "dose", []),
    "judge": (replace(ONE, signs=("The needle stands at 18.4 inHg and rises.",)), "judge", []),
    "all-controls": (BENCH, "confirm", ["k", "c", "c"]),
    "plate": (WAITING, "dose", ["i", "right", "m"]),
}
"""Moments of a rehearsal that were looked at by eye: the bench, the run, keys pressed."""


@pytest.mark.parametrize(
    ("name", "cols", "rows"),
    [*((name, 80, 24) for name in GOLDEN), *((name, 120, 40) for name in ("number", "held", "plate"))],
)
@pytest.mark.sweep(quick=4)
async def test_rehearsals_look_as_they_did(name: str, cols: int, rows: int) -> None:
    """Each kind of control, the gauges and the plate look as they did when they were looked at."""
    bench, view, keys = GOLDEN[name]
    stage, _ = on_stage(bench, VIEWS[view])
    async with stage.run_test(size=(cols, rows)) as pilot:
        await pilot.pause()
        await press(pilot, *keys)
        await pilot.pause()
        compare(f"rehearsal-{name}-{cols}", text(stage))


async def test_a_number_that_is_set_leads_on_to_what_the_step_asks_next() -> None:
    """Once the control's number is set the keys go to the next one, so that nobody types it twice."""
    stage, _ = on_stage(replace(BENCH, controls=(UNITS, PUMP), others=()))
    async with stage.run_test(size=(80, 24)) as pilot:
        await press(pilot, "2", "4", "space")
        assert "▸ Pump" in text(stage)


async def test_no_control_is_named_while_the_work_is_paused() -> None:
    """Away from the bench nothing can be operated, and no key says so."""
    stage, _ = on_stage(view=replace(VIEWS["paused"], acts=("next", "hand_over", "note", "stop")))
    async with stage.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "all controls" not in text(stage)


@pytest.mark.parametrize(("name", "there"), [("confirm", True), ("judge", True), ("solo", False)])
async def test_all_controls_are_offered_where_they_can_be_shown(name: str, there: bool) -> None:
    """While the next act is still to be picked no control can be operated, and the key is not named."""
    view = VIEWS[name]
    stage, _ = on_stage(BENCH, view)
    async with stage.run_test(size=(160, 40)) as pilot:
        await pilot.pause()
        assert ("all controls" in stage.screen.query_one(Keys).shown) == there


async def test_a_clock_that_runs_for_nothing_stands_over_the_controls() -> None:
    """What the bench says is not done while the clock runs is said where the eye is."""
    said = "Rubbing: hands off, while the clock runs."
    stage, _ = on_stage(replace(HELD, idle=said), VIEWS["countdown"])
    async with stage.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        rows = text(stage).splitlines()
        at = next(number for number, row in enumerate(rows) if said in row)
        assert "Rubbing" in rows[at + 1]
