"""A walk written from a run does what was done and comes to the same end.

No source: the form of walks is our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from walk_kit import PROCEDURE, write

from trainer import places
from trainer.cli import main
from trainer.procedure.load import load, load_as
from trainer.procedure.plan import Plan
from trainer.record.journal import StationJournal
from trainer.rehearsal.as_walk import as_walk
from trainer.rehearsal.walk import procedure_of, run_walk
from trainer.rehearsal.walk_file import read_walk, walk_of
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walker import Walker
from trainer.run import events as ev
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.session import Run

WALKS = Path(__file__).resolve().parent.parent / "walks"
QUICK = (
    "exposure-test-left",
    "exposure-test-two-corrections",
    "eye-splash-right-solo",
    "two-burns-handed-over",
)
SHIPPED = [
    pytest.param(file, marks=() if file.stem in QUICK else pytest.mark.long)
    for file in sorted(WALKS.glob("*.yaml"))
]
TRY = load_as(PROCEDURE.read_bytes(), Path("try-procedure.yaml")).require()


def walked(walk: Walk, plan: Plan) -> tuple[ev.Event, ...]:
    """What a walk leaves behind. Raises Stumble where it does not go as written."""
    own = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
    walker = Walker.start(walk, plan, {**own, **walk.settings})
    for placed in walk.acts:
        walker.do(placed)
    return tuple(walker.events)


def again(plan: Plan, events: Sequence[ev.Event]) -> tuple[ev.Event, ...]:
    """What the walk that is written from a run leaves behind."""
    read = walk_of(as_walk(plan, events).encode(), "as-walk.yaml")
    assert read.walk is not None, read.problems
    return walked(read.walk, plan)


def done(events: Sequence[ev.Event]) -> list[object]:
    """What was done, step by step: without times, without codes of people, and only up to the end."""
    told: list[object] = []
    for event in events:
        match event.body:
            case ev.WaitEnded(outcome=outcome):
                told.append((event.step, "waited", outcome))
            case ev.RunOpened() | ev.BenchReady() | ev.PlateMade() | ev.NextOffered() | ev.NoteAdded():
                told.append((event.step, event.body.kind))
            case ev.HazardAccepted() | ev.RunHandedOver() | ev.SignOffRefused():
                told.append((event.step, event.body.kind))
            case ev.SettingChanged(new=new):
                told.append((event.step, "set", new))
            case _:
                told.append((event.step, event.body))
        if isinstance(event.body, ev.RunClosed):
            break
    return told


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.stem)
def test_a_shipped_walk_comes_back(file: Path) -> None:
    """The events of a shipped walk make a walk that leaves the same events behind, rehearsals too."""
    walk = read_walk(file).walk
    assert walk is not None
    found = procedure_of(file, walk.procedure)
    assert found is not None
    plan = load(found).require()
    events = walked(walk, plan)
    assert done(again(plan, events)) == done(events)


class Sitting:
    """A run by hand over the small procedure, with a clock that is told the time."""

    def __init__(self) -> None:
        self.clock, self.journal = FakeClock(), FakeJournal()
        own = {name: float(setting.value) for name, setting in TRY.procedure.settings.items()}
        self.run = Run.open(
            TRY,
            run="r1",
            trainee="S-77",
            guidance="cued",
            settings=own,
            journal=self.journal,
            clock=self.clock,
        )

    def after(self, seconds: float) -> Run:
        """The run, so much later."""
        self.clock.pass_time(seconds)
        self.run.tick()
        return self.run

    def restarted(self, seconds: float, *, reboot: bool = False) -> Run:
        """The run, the program having been down."""
        if reboot:
            self.clock.reboot(seconds)
        else:
            self.clock.pass_time(seconds)
        self.run = Run.take_up(TRY, "r1", journal=self.journal, clock=self.clock)
        return self.after(1)

    def to_countdown(self) -> None:
        """The first acts, up to the countdown that runs."""
        self.after(2).accept()
        self.after(2).next()
        self.after(2).next()

    @property
    def events(self) -> tuple[ev.Event, ...]:
        """What was recorded."""
        return self.journal.events("r1")


def test_an_open_run_says_where_it_stands() -> None:
    """Of a run that is not over, the walk expects the step at hand."""
    sitting = Sitting()
    sitting.to_countdown()
    assert f"expect:\n  at: {sitting.run.state.step}\n" in as_walk(TRY, sitting.events)
    assert done(again(TRY, sitting.events)) == done(sitting.events)


def test_nobody_is_named() -> None:
    """Codes of trainees and instructors become T-01, T-02, I-1; what was typed stays, in quotes as needed."""
    sitting = Sitting()
    sitting.to_countdown()
    sitting.after(1).note('Pad: worn "through" # here')
    sitting.after(1).hand_over("S-78")
    sitting.after(1).stop("fire drill")
    text = as_walk(TRY, sitting.events)
    assert "S-7" not in text
    assert '- note: "Pad: worn \\"through\\" # here"' in text
    assert "- hand_over: T-02" in text
    assert "- stop: fire drill" in text
    assert done(again(TRY, sitting.events)) == done(sitting.events)


def test_what_came_after_the_end_is_told_beside_the_walk() -> None:
    """Remark, excuse and word of an instructor are no acts: each is one line to read, whatever is in it."""
    sitting = Sitting()
    sitting.to_countdown()
    sitting.after(1).stop("fire drill")
    before = as_walk(TRY, sitting.events)
    kept, last = list(sitting.events), sitting.events[-1]
    for body in (
        ev.NoteAdded("I-9", "Well kept\nacts: [stop]\x85x: y\u2028z: [\u2029"),
        ev.RunExcused("I-9", "the alarm"),
        ev.SignedOff("act", "I-8", "not_yet", "look again", "last"),
    ):
        kept.append(replace(last, seq=kept[-1].seq + 1, body=body))
    text = as_walk(TRY, kept)
    walk, _, told = text.partition("# After the end, which no walk goes through:\n")
    assert walk == before
    lines = told.splitlines()
    assert [line[:17] for line in lines] == ["#   I-1 remarked:", "#   I-1 took the ", "#   I-2 signed ac"]
    assert lines[2] == "#   I-2 signed act: not yet. look again"
    assert read_as_walk(text) == read_as_walk(before)
    assert "I-9" not in text


def read_as_walk(text: str) -> Walk:
    """What a walk's text says."""
    read = walk_of(text.encode(), "as-walk.yaml")
    assert read.walk is not None, read.problems
    return read.walk


@pytest.mark.parametrize(
    "text", ["yes: no", "- x", "12", "true", "\u00fcber #1", "'", "{a}", "a\nb", "C:\\x", "!"]
)
def test_whatever_was_typed_comes_back(text: str) -> None:
    """A remark in any signs is read from the walk as it was typed."""
    sitting = Sitting()
    sitting.after(1).note(text)
    said = [event.body.text for event in sitting.events if isinstance(event.body, ev.NoteAdded)]
    back = again(TRY, sitting.events)
    assert [event.body.text for event in back if isinstance(event.body, ev.NoteAdded)] == said


def test_a_wait_over_a_restart_comes_back() -> None:
    """The program went down in a countdown and was started again: so it does in the walk."""
    sitting = Sitting()
    sitting.to_countdown()
    sitting.after(3)
    sitting.restarted(20)
    sitting.after(60).next()
    assert "- restart: " in as_walk(TRY, sitting.events)
    assert done(again(TRY, sitting.events)) == done(sitting.events)


def test_a_wait_of_which_nobody_knows_the_time_comes_to_its_end() -> None:
    """After a reboot a person says that it was long enough; the walk waits as long as it has to."""
    sitting = Sitting()
    sitting.to_countdown()
    sitting.restarted(5, reboot=True)
    sitting.after(1).pick(1)
    there = [event.step for event in again(TRY, sitting.events) if isinstance(event.body, ev.StepShown)]
    assert there == [event.step for event in sitting.events if isinstance(event.body, ev.StepShown)]


def test_a_wait_that_was_begun_again_is_begun_once() -> None:
    """After a reboot a person begins the wait anew; in the walk, where the time is known, it goes on."""
    sitting = Sitting()
    sitting.to_countdown()
    sitting.restarted(5, reboot=True)
    sitting.after(1).pick(2)
    sitting.after(60).next()
    there = [event.step for event in again(TRY, sitting.events) if isinstance(event.body, ev.StepShown)]
    assert there == [event.step for event in sitting.events if isinstance(event.body, ev.StepShown)]


def said(folder: Path, *argv: str) -> Result:
    """Call `sinkside record as-walk` with the record of a folder."""
    return CliRunner().invoke(main, ["record", "--record", str(folder / "record.db"), "as-walk", *argv])


def kept(folder: Path, runs: Sequence[str]) -> None:
    """A record with runs of the shipped exposure test, stopped at their first step."""
    plan = load(places.procedures_dir() / "exposure-test.yaml").require()
    own = {name: float(setting.value) for name, setting in plan.procedure.settings.items()}
    clock = FakeClock()
    with StationJournal(folder / "record.db", clock) as journal:
        journal.keep_procedure(plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision)
        for run in runs:
            opened = Run.open(
                plan, run=run, trainee="S-77", guidance="full", settings=own, journal=journal, clock=clock
            )
            clock.pass_time(3)
            opened.next()
            clock.pass_time(3)
            opened.stop("fire drill")


def test_the_command_writes_a_walk_that_passes(tmp_path: Path) -> None:
    """`record as-walk RUN` prints a walk that `walk` passes; the run's beginning is enough to name it."""
    kept(tmp_path, ["0190-aa", "0190-ab"])
    result = said(tmp_path, "0190-ab", "--name", "Fire drill at the start")
    assert result.exit_code == 0, result.stderr
    file = write(tmp_path, result.stdout)
    outcome = run_walk(file)
    assert outcome.passed, outcome.findings
    assert outcome.name == "Fire drill at the start"


def test_the_command_lists_the_newest_runs(tmp_path: Path) -> None:
    """Without a run, the newest come first, each with its id, when, who, how it ended and what it was."""
    kept(tmp_path, ["0190-aa", "0190-ab"])
    lines = said(tmp_path).stdout.splitlines()
    assert [line.split()[0] for line in lines] == ["0190-ab", "0190-aa"]
    assert all(line.endswith("stopped  exposure-test") for line in lines)


@pytest.mark.parametrize(
    ("run", "words"),
    [
        ("0190-a", "More than one run begins with `0190-a`"),
        ("0191", "There is no run `0191`"),
        ("", "There is no run ``"),
        ("0190-a%", "There is no run `0190-a%`"),
    ],
)
def test_a_run_that_is_not_there_is_told(run: str, words: str, tmp_path: Path) -> None:
    """An id that no run or several have, or none: a sentence on stderr, and 1."""
    kept(tmp_path, ["0190-aa", "0190-ab"])
    result = said(tmp_path, run)
    assert (result.exit_code, result.stdout) == (1, "")
    assert words in result.stderr


def test_a_record_that_is_not_there_is_told(tmp_path: Path) -> None:
    """Without a record there is a sentence, and no record is made."""
    result = said(tmp_path, "0190")
    assert result.exit_code == 1
    assert "record.db" in result.stderr
    assert not (tmp_path / "record.db").exists()
