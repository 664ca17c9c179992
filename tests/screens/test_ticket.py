"""The start screen: its form without a screen, and over a station."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from stage import Stage, press, settled, text

from trainer.run.fakes import FakeClock
from trainer.screens.start import Start
from trainer.screens.station import Station
from trainer.screens.ticket import Ticket, Wanted, new_ticket

WORK = [("exposure-test", "Exposure test", "Strips."), ("two-burns", "Two burns", "One plate.")]
PLATE = Path(__file__).parents[1] / "run" / "plate.yaml"


def ticket(given: Wanted = Wanted()) -> Ticket:  # noqa: B008 - frozen
    """A form with one open run and two procedures."""
    return new_ticket([("r1", "T-03 at draw-down")], WORK, given, rehearsed=["two-burns"])


def test_enter_on_an_open_run_goes_on_with_it() -> None:
    """The first row is the open run, and Enter asks for it."""
    assert ticket().enter() == Wanted(run="r1")


def test_a_trainee_is_needed() -> None:
    """Without a code nothing begins: the form says what is missing and goes there."""
    form = ticket()
    form.go_to("begin")
    assert form.enter() is None
    assert "Who works?" in form.said
    assert form.row.id == "trainee"


def test_what_is_filled_in_is_what_is_wanted() -> None:
    """Typed lines and turned choices make up what is begun."""
    form = ticket()
    for row, typed in (("trainee", "T-07"), ("job", "tide table"), ("colour", "blue")):
        form.go_to(row)
        for character in typed:
            form.type(character)
    form.go_to("procedure")
    form.turn(1)
    form.go_to("guidance")
    form.turn(-1)
    form.go_to("begin")
    wanted = Wanted(trainee="T-07", procedure="two-burns", guidance="solo", job="tide table", colour="blue")
    assert form.enter() == wanted


def test_only_work_with_a_bench_can_be_rehearsed() -> None:
    """A rehearsal is no choice where no step uses the bench, and it is said why.

    Chosen before, it goes and comes back with work that has it: nobody begins with material unasked.
    """
    form = ticket(Wanted(trainee="T-02", procedure="two-burns", rehearsal=True))
    kind = form.find("kind")
    assert [key for key, _ in kind.options] == ["wet", "rehearsal", "faults"]
    assert (kind.value, kind.more) == ("rehearsal", "")
    form.go_to("procedure")
    form.turn(1)
    assert [key for key, _ in kind.options] == ["wet", "faults"]
    assert kind.value == "wet"
    assert "no step of it uses the bench" in kind.more
    form.turn(1)
    assert [key for key, _ in kind.options] == ["wet", "rehearsal", "faults"]
    assert kind.value == "rehearsal"
    form.take({"procedure": "wedge", "kind": "faults"})
    assert kind.value == "faults"


def test_what_the_command_said_is_filled_in() -> None:
    """A trainee and a procedure given on the command line stand in the form, and the rest is one Enter."""
    form = ticket(Wanted(trainee="T-02", procedure="two-burns", guidance="cued"))
    assert form.enter() == Wanted(trainee="T-02", procedure="two-burns", guidance="cued")


def test_a_line_takes_no_control_character_and_no_end() -> None:
    """What is pasted into a line is cleaned, kept on one line, and cut at thirty characters."""
    form = ticket()
    form.go_to("job")
    form.type("a\x1b[31m\nb" + "x" * 100)
    assert form.row.value.startswith("a\u241b[31m b")
    assert len(form.row.value) == 30
    form.rub_out()
    assert len(form.row.value) == 29


def test_a_code_typed_on_an_open_run_takes_up_nobody_elses_work() -> None:
    """Whoever types at once, while an open run is marked, types a code; Enter then goes on in the form."""
    form = ticket()
    assert form.row.kind == "open"
    for character in "T-09":
        assert form.types(character)
        form.type(character)
    assert (form.row.id, form.row.value) == ("trainee", "T-09")
    assert form.enter() is None
    assert form.row.id == "procedure"
    assert not form.types("x")
    form.go_to("run-r1")
    assert not form.types(" ")


def test_a_blank_is_no_beginning() -> None:
    """A Space too many leaves a line empty, and its hint stands."""
    form = ticket()
    form.go_to("job")
    form.type(" ")
    assert form.row.value == ""
    for character in "tide table":
        form.type(character)
    assert form.row.value == "tide table"


@pytest.mark.parametrize(
    ("typed", "hint", "completed"),
    [
        ("", "", ""),
        ("t01", "T-01 is known here: Right completes it", "T-01"),
        ("T-1", "T-11 is known here: Right completes it", "T-11"),
        ("t-11", "", "t-11"),
        ("T-09", "not known here yet", "T-09"),
        ("-", "not known here yet", "-"),
    ],
)
def test_a_code_typed_otherwise_is_told_from_one_that_is_known(typed: str, hint: str, completed: str) -> None:
    """A hyphen left out makes nobody a second person unseen; Right completes what is known."""
    form = new_ticket([], WORK, Wanted(), known=["T-01", "T-11"])
    for character in typed:
        form.type(character)
    assert form.hint == hint
    form.turn(-1)
    assert form.row.value == typed
    form.turn(1)
    assert form.row.value == completed


def test_where_nobody_is_known_no_code_is_new() -> None:
    """On the first day every code is new: nothing is said of it."""
    form = ticket()
    form.go_to("trainee")
    form.type("T-01")
    assert form.hint == ""


def test_the_ends_of_the_form_hold() -> None:
    """Up from the first row and Down from the last stay there."""
    form = ticket()
    form.move(-5)
    assert form.at == 0
    form.move(99)
    assert form.row.kind == "begin"


def station(folder: Path) -> Station:
    """A station of its own, with the test plate as its one procedure and one broken file."""
    procedures = folder / "procedures"
    procedures.mkdir()
    (procedures / "plate.yaml").write_bytes(PLATE.read_bytes())
    (procedures / "broken.yaml").write_text("title: [", encoding="utf-8")
    return Station.open(
        record=folder / "record.db", shop=folder / "shop.yaml", procedures=procedures, clock=FakeClock()
    )


@pytest.mark.parametrize(
    ("keys", "wanted"),
    [
        (["t", "minus", "0", "9", "enter", "enter", "enter", "enter", "enter", "enter", "enter"], "T-09"),
        (
            ["t", "1", "backspace", "minus", "2", "tab", "down", "down", "down", "down", "down", "space"],
            "t-2",
        ),
    ],
)
async def test_a_run_is_asked_for_by_keys(keys: list[str], wanted: str, tmp_path: Path) -> None:
    """Typing a code and going down to Begin asks for a run of the procedure there is."""
    with station(tmp_path) as here:
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, *keys)
            await settled(pilot)
            assert stage.results == [Wanted(trainee=wanted.replace("T", "t"), procedure="plate")]


@pytest.mark.parametrize(
    ("shop", "work"),
    [("", "negative-plate-two-burns"), ("format: 1\nfirst: [closing-the-sink]\n", "closing-the-sink")],
)
async def test_the_plate_of_the_class_is_on_top(tmp_path: Path, shop: str, work: str) -> None:
    """Of the shipped procedures the plate stands there to begin with, or what the shop file puts first."""
    (tmp_path / "shop.yaml").write_text(shop, encoding="utf-8")
    with Station.open(record=tmp_path / "record.db", shop=tmp_path / "shop.yaml", clock=FakeClock()) as here:
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "t", "minus", "0", "1", *["enter"] * 7)
            await settled(pilot)
            assert stage.results == [Wanted(trainee="t-01", procedure=work)]


async def test_a_procedure_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    """A broken file is left out of the choice, and the screen says which and why."""
    with station(tmp_path) as here:
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            assert "A plate for the tests" in text(stage)
            assert "Left out, since it cannot be read: broken" in text(stage)


async def test_an_open_run_stands_first(tmp_path: Path) -> None:
    """A run that was left open is the first row: who, what and where; Enter takes it."""
    with station(tmp_path) as here:
        run = here.open_run("plate", "t-04", job="tide table", colour="blue")
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(120, 24)) as pilot:
            await settled(pilot)
            said = r"T-04  \d\d-\d\d \d\d:\d\d  A plate for the tests  at look-at-film  tide table blue"
            assert re.search(said, text(stage))
            await press(pilot, "enter")
            await settled(pilot)
            assert stage.results == [Wanted(run=run.view().run)]


async def test_who_was_here_before_is_known(tmp_path: Path) -> None:
    """The form knows the trainees of the record, and completes a code with Right."""
    with station(tmp_path) as here:
        here.open_run("plate", "T-04").stop("ill")
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, *"t04")
            assert "T-04 is known here: Right completes it" in text(stage)
            await press(pilot, "right")
            assert "known here" not in text(stage)
            assert "T-04_" in text(stage)


async def test_a_code_typed_over_an_open_run_begins_a_run_of_its_own(tmp_path: Path) -> None:
    """By keys: the code lands in its line, and the open run of somebody else stays where it is."""
    with station(tmp_path) as here:
        here.open_run("plate", "T-04")
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, *"t-09", *["enter"] * 7)
            await settled(pilot)
            (wanted,) = stage.results
            assert isinstance(wanted, Wanted)
            assert (wanted.run, wanted.trainee) == ("", "t-09")


async def test_the_start_screen_is_left_by_f10_and_helps_by_f1(tmp_path: Path) -> None:
    """F1 shows the help page over the start screen, F10 leaves with nothing wanted."""
    with station(tmp_path) as here:
        stage = Stage(Start(here, Wanted()))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await press(pilot, "f1")
            assert "Keys on the start screen" in text(stage)
            await press(pilot, "space", "q", "f10")
            await settled(pilot)
            assert stage.results == [None]


async def test_rows_can_be_clicked(tmp_path: Path) -> None:
    """A click goes to a row; a second one on Begin begins."""
    with station(tmp_path) as here:
        stage = Stage(Start(here, Wanted(trainee="T-01")))
        async with stage.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            rows = text(stage).split("\n")
            guidance = next(number for number, row in enumerate(rows) if "Guidance" in row)
            await pilot.click(offset=(20, guidance))
            await pilot.click(offset=(20, guidance))
            begin = next(number for number, row in enumerate(rows) if row.strip(" ▸") == "Begin")
            await pilot.click(offset=(6, begin))
            await pilot.click(offset=(6, begin))
            await settled(pilot)
            assert stage.results == [Wanted(trainee="T-01", procedure="plate", guidance="cued")]
