"""A mistyped code put right from the review: what would change is said first, and all is read anew after."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from record_kit import Station, opened, short_run
from stage import press, settled, text
from test_review_screen import reviewing, screen, told, typed
from textual.pilot import Pilot

from trainer.cli import main
from trainer.insight.results import Wanted
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.shared.address import SharedAddress
from trainer.run import events as ev
from trainer.run.fakes import FakeClock
from trainer.screens.review import doing
from trainer.screens.review import finding as work
from trainer.screens.review.askings import AT_STATION, refused_here
from trainer.screens.review.desk import Desk, Found
from trainer.screens.review.leaf import Opens

PIN = "271828"
CLOCK = FakeClock("2026-04-01T12:00:00.000Z")


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is found: none of these tests is about it."""

    def find(
        path: object, now: object, wanted: object, asked: int, record: object, *, dropped: object
    ) -> Found:
        del path, now, wanted, record, dropped
        return Found(asked)

    monkeypatch.setattr(work, "find", find)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """One run of T-13, two that were kept under T-31 for T-13, one of T-40 that is open; an instructor."""
    station = Station(tmp_path)
    with station.open() as journal:
        for run, who in (("r1", "T-13"), ("r2", "T-31"), ("r3", "T-31")):
            short_run(station, journal, run, who)
            station.clock.pass_time(86_400)
        station.keep(journal, "r4", (None, opened("T-40")))
        People(journal).add("I-9", instructor=True, pin=PIN)
    return station.path


def whose(path: Path) -> dict[str, str]:
    """By run, whose it is."""
    with StationJournal(path, CLOCK) as journal, journal.reading() as connection:
        return dict(connection.execute("SELECT run, trainee FROM runs").fetchall())


async def trainee_of(pilot: Pilot[None], desk: Desk, code: str) -> None:
    """The page of a trainee, by keys: the bar begins at the first of the class."""
    for _ in range([one.trainee for one in desk.glance.trainees].index(code)):
        await press(pilot, "down")
    await press(pilot, "enter")


async def test_all_runs_of_a_code_are_put_right(path: Path) -> None:
    """From the trainee's page: the right code, what changes, code and PIN; then the right one's page."""
    desk = Desk(path, CLOCK)
    desk.wanted = Wanted(trainees=("T-13", "T-31", "T-40"))
    async with reviewing(desk) as (stage, pilot):
        await trainee_of(pilot, desk, "T-31")
        await press(pilot, "c")
        assert "All runs are kept under T-31." in text(stage)
        await typed(stage, pilot, "t-13")
        await settled(pilot)
        assert "2 runs of T-31 will be T-13's." in text(stage)
        assert "T-13 has 1 run here already." in text(stage)
        await press(pilot, "2")
        await typed(stage, pilot, "i-9")
        await typed(stage, pilot, PIN)
        await settled(pilot)
        assert "Done: 2 runs of T-31 put down to T-13." in told(stage)
        assert "T-31 is nobody's code any more" in told(stage)
        assert screen(stage).opens == Opens("trainee", ("T-13",))
        assert "T-13   3 runs" in text(stage)
        assert desk.wanted == Wanted(trainees=("T-13", "T-40"))
        await press(pilot, "b")
        assert "T-31" not in text(stage)
    assert whose(path) == {"r1": "T-13", "r2": "T-13", "r3": "T-13", "r4": "T-40"}


async def test_it_does_what_the_command_does(path: Path) -> None:
    """One run on its own page; but for times and ids the events kept are those of the command."""
    async with reviewing(Desk(path, CLOCK)) as (stage, pilot):
        await press(pilot, "3", "down", "enter", "c")
        assert "This run is kept under T-31." in text(stage)
        await typed(stage, pilot, "T-13")
        await settled(pilot)
        assert "1 run of T-31 will be T-13's." in text(stage)
        await press(pilot, "2")
        for words in ("I-9", PIN):
            await typed(stage, pilot, words)
        await settled(pilot)
        assert "» put down to T-13 instead of T-31, by I-9" in text(stage)
        assert "Done: 1 run of T-31 put down to T-13." in told(stage)
    assert whose(path) == {"r1": "T-13", "r2": "T-31", "r3": "T-13", "r4": "T-40"}
    argv = ["--record", str(path), "record", "person", "mistyped", "T-31", "T-13"]
    done = CliRunner().invoke(main, argv, input=f"I-9\n{PIN}\n")
    assert done.exit_code == 0, done.output
    with StationJournal(path, CLOCK) as journal:
        by_keys, by_command = (journal.events(run)[-1].body for run in ("r3", "r2"))
    assert by_keys == by_command == ev.CodeMistyped("I-9", "T-31", "T-13")
    kept = CliRunner().invoke(main, ["--record", str(path), "record", "person", "export", "T-13"])
    assert [run["run"] for run in json.loads(kept.stdout)["runs"]] == ["r1", "r2", "r3"]


@pytest.mark.parametrize(
    ("who", "right", "said"),
    [
        ("T-31", "I-9", "I-9 is an instructor, and runs are trainees'."),
        ("T-31", "t-31", "T-31 and T-31 are one code"),
        ("T-31", "nobody at all", "A code is letters, digits and hyphens only"),
        ("T-40", "T-13", "Run r4 is still open: hand it over to T-13 on the screen"),
    ],
)
async def test_what_cannot_be_put_right_is_refused_before_a_pin(
    path: Path, who: str, right: str, said: str
) -> None:
    """In the command's own sentences, over the page that stands."""
    desk = Desk(path, CLOCK)
    async with reviewing(desk) as (stage, pilot):
        await trainee_of(pilot, desk, who)
        await press(pilot, "c")
        await typed(stage, pilot, right)
        await settled(pilot)
        assert said in told(stage)
        assert stage.screen is screen(stage)
        assert screen(stage).opens == Opens("trainee", (who,))
    found, sentence = doing.mistyped(path, CLOCK, who, right)
    assert found is None
    command = CliRunner().invoke(main, ["--record", str(path), "record", "person", "mistyped", who, right])
    assert " ".join(sentence.split()) in " ".join(command.stderr.split())


async def test_a_wrong_pin_or_a_no_changes_nothing(path: Path) -> None:
    """A code nobody has yet is said to be one; 1 leaves it all, and so does a PIN that is not right."""
    desk = Desk(path, CLOCK)
    async with reviewing(desk) as (stage, pilot):
        await trainee_of(pilot, desk, "T-31")
        for sure in ("1", "2"):
            await press(pilot, "c")
            await typed(stage, pilot, "T-15")
            await settled(pilot)
            assert "T-15 has no run here yet: see that this is the code" in " ".join(text(stage).split())
            await press(pilot, sure)
        for words in ("I-9", "314159"):
            await typed(stage, pilot, words)
        await settled(pilot)
        assert "not the PIN of I-9" in told(stage)
        assert screen(stage).opens == Opens("trainee", ("T-31",))
    assert set(whose(path).values()) == {"T-13", "T-31", "T-40"}


def test_the_shared_record_is_only_read() -> None:
    """There nothing is asked at all: a sentence says where it is done."""
    shared = SharedAddress({"host": "localhost", "dbname": "school"}, "--record")
    assert refused_here(shared) == AT_STATION
    assert doing.mistyped(shared, CLOCK, "T-31", "T-13") == (None, AT_STATION)
    assert refused_here(Path("record.db")) == ""
