"""An instructor's acts after class: kept as events, on a PIN, with nothing altered."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from marks_kit import why_not_by_the_rules
from run_kit import RUN_ID, Sink, plan_of

from trainer.cli import main
from trainer.record.after_class import AfterClass, Instructor, NotAfterClass, PinRefused
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.pins import PinCheck
from trainer.record.rebuild import dump, rebuild
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run.fakes import FakeClock, FakeSignOff
from trainer.run.fold import fold
from trainer.run.ports import JournalTrouble, LeaseLost
from trainer.run.session import Run

I_1 = Instructor("i-1", "271828")


@dataclass
class Class:
    """A record with the runs of a class in it, at the end of the day."""

    path: Path
    clock: FakeClock
    journal: StationJournal
    acts: AfterClass

    def keep(self, sink: Sink, run: str = RUN_ID) -> None:
        """A run that was, as this station's journal kept it."""
        plan = sink.plan
        self.journal.keep_procedure(
            plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision
        )
        self.journal.append([replace(event, run=run) for event in sink.events])

    def bodies(self, run: str = RUN_ID) -> list[e.Body]:
        """What was kept of a run."""
        return [event.body for event in self.journal.events(run)]

    def rows(self, question: str) -> list[tuple[Any, ...]]:
        """What the tables say."""
        with self.journal.reading() as connection:
            return connection.execute(question).fetchall()


@pytest.fixture
def school(tmp_path: Path) -> Iterator[Class]:
    """The record of a class: a run at solo that was done and passed, kept by another terminal."""
    path, clock = tmp_path / "record.db", FakeClock()
    sink = Sink.open("solo").to_end()
    clock.pass_time(7_200)
    with StationJournal(path, clock) as other:
        Class(path, clock, other, AfterClass(other, FakeSignOff({}), clock)).keep(sink)
    with StationJournal(path, clock) as journal:
        signs = FakeSignOff({"I-1": "271828", "i-1": "271828", "I-2": "314159"})
        yield Class(path, clock, journal, AfterClass(journal, signs, clock))


def test_a_remark_and_an_excuse_are_events_at_the_end(school: Class) -> None:
    """Both stand behind what was kept, which is as it was; the run is out of the statistics; all verifies."""
    before = school.journal.events(RUN_ID)
    last = school.rows("SELECT last_at, events FROM runs")
    school.acts.note(RUN_ID, I_1, " Watch the\x1b gasket. ")
    school.acts.excuse(RUN_ID, I_1, "A helper spoke.")
    after = school.journal.events(RUN_ID)
    assert after[: len(before)] == before
    assert school.bodies()[len(before) :] == [
        e.NoteAdded("I-1", "Watch the\u241b gasket."),
        e.RunExcused("I-1", "A helper spoke."),
    ]
    assert [event.id for event in after] == sorted(event.id for event in after)
    assert school.rows("SELECT excused, closed FROM runs") == [("A helper spoke.", "done")]
    assert school.rows("SELECT last_at FROM runs") == [last[0][:1]]
    assert verify(school.path).findings == ()


def test_a_persons_excused_runs_are_told_apart(school: Class) -> None:
    """Among the runs of a person it is said how many count for nothing, and which."""
    people = People(school.journal)
    assert (people.show("T-01").runs, people.show("T-01").excused) == (1, 0)
    school.acts.excuse(RUN_ID, I_1, "A helper spoke.")
    assert (people.show("T-01").runs, people.show("T-01").excused) == (1, 1)
    assert [kept.excused for kept in people.runs_of("T-01")] == ["A helper spoke."]


def test_a_later_word_stands_beside_the_earlier_and_counts(school: Class) -> None:
    """Both words stay; plate, mark and readiness go by the later one; the run reads as before."""
    rule = plan_of("plate").procedure.ready
    assert rule is not None
    (can,) = school.acts.signable(RUN_ID)
    assert (can.of, can.at) == ("last-look", "sign")
    for by, word, reason in (
        (I_1, "not_yet", "the last look was not passed"),
        (Instructor("I-2", "314159"), "passed", ""),
    ):
        school.acts.sign(RUN_ID, by, "last-look", word, "Seen again.")  # type: ignore[arg-type]
        events = school.journal.events(RUN_ID)
        assert school.rows("SELECT how FROM plates") == [(word,)]
        assert why_not_by_the_rules(rule, events, school.clock.now()) == reason
        assert school.rows("SELECT hit FROM attempts WHERE mark = 'sign_off'") == [(int(word == "passed"),)]
    signed = school.rows("SELECT by, word, note, step, trainee FROM signatures ORDER BY seq")
    assert signed == [
        ("I-1", "passed", "", "last-look", "T-01"),
        ("I-1", "not_yet", "Seen again.", "last-look", "T-01"),
        ("I-2", "passed", "Seen again.", "last-look", "T-01"),
    ]
    state = fold(plan_of("plate"), school.journal.events(RUN_ID))
    assert (state.closed, state.step) == ("done", "done")
    assert (
        Run.take_up(plan_of("plate"), RUN_ID, journal=school.journal, clock=school.clock).view().acts
        is not None
    )
    with school.journal.reading() as connection:
        tables = dump(connection)
    rebuild(school.path)
    with closing(sqlite3.connect(school.path)) as connection:
        assert dump(connection) == tables


@pytest.mark.parametrize(
    ("by", "told"),
    [
        (Instructor("I-1", "000000"), "not the PIN of I-1"),
        (Instructor("T-01", "271828"), "no instructor T-01"),
        (Instructor("I 1!", "271828"), "letters, digits and hyphens"),
    ],
)
def test_without_the_pin_nothing_is_kept(school: Class, by: Instructor, told: str) -> None:
    """A wrong PIN, a trainee's code and no code at all: told in a sentence, and the run is as it was."""
    before = school.journal.events(RUN_ID)
    acts: tuple[Callable[[], None], ...] = (
        lambda: school.acts.note(RUN_ID, by, "x"),
        lambda: school.acts.excuse(RUN_ID, by, "x"),
        lambda: school.acts.sign(RUN_ID, by, "last-look", "passed"),
    )
    for act in acts:
        with pytest.raises((PinRefused, NotAfterClass), match=told):
            act()
    assert school.journal.events(RUN_ID) == before
    assert "000000" not in repr(by)


def test_wrong_pins_are_slowed_down_here_too(school: Class) -> None:
    """The station's own check is asked, so that tries after class count like those at the sink."""
    People(school.journal).add("I-9", instructor=True, pin="271828")
    acts = AfterClass(school.journal, PinCheck(school.path, school.clock), school.clock)
    for _ in range(5):
        with pytest.raises(PinRefused, match="not the PIN"):
            acts.excuse(RUN_ID, Instructor("I-9", "141421"), "x")
    with pytest.raises(PinRefused, match=r"wrong PINs for I-9\. The next try is looked at in 30 s"):
        acts.excuse(RUN_ID, Instructor("I-9", "271828"), "x")
    school.clock.pass_time(31)
    acts.excuse(RUN_ID, Instructor("I-9", "271828"), "Fire drill.")
    assert school.bodies()[-1] == e.RunExcused("I-9", "Fire drill.")


def test_what_a_run_does_not_allow_is_told(school: Class) -> None:
    """Nothing said, a step that nobody signs, a step that was never come to, a run that is not there."""
    stopped = Sink.open("full").until("take-plate")
    stopped.run.stop("Class is over.")
    school.keep(stopped, "run-2")
    acts: dict[str, Callable[[], None]] = {
        "Type the remark": lambda: school.acts.note(RUN_ID, I_1, " \n "),
        "Say why": lambda: school.acts.excuse(RUN_ID, I_1, ""),
        "`draw-down` is not signed for .* `last-look`": lambda: school.acts.sign(
            RUN_ID, I_1, "draw-down", "passed"
        ),
        "never came to `last-look`": lambda: school.acts.sign("run-2", I_1, "last-look", "passed"),
    }
    for told, act in acts.items():
        with pytest.raises(NotAfterClass, match=told):
            act()
    assert school.acts.signable("run-2") == ()
    with pytest.raises(JournalTrouble, match="There is no run"):
        school.acts.note("run-9", I_1, "x")


def test_a_run_at_work_elsewhere_is_told(school: Class) -> None:
    """An open run takes a remark, and whoever has it on a screen is told; a word is given over there."""
    school.keep(Sink.open("full").until("take-plate"), "run-2")
    with StationJournal(school.path, school.clock) as elsewhere:
        elsewhere.take_lease("run-2")
        run = Run.take_up(plan_of("plate"), "run-2", journal=elsewhere, clock=school.clock)
        school.acts.note("run-2", I_1, "Both hands on the rim.")
        school.clock.pass_time(1)
        with pytest.raises(LeaseLost, match="taken up at another terminal"):
            run.next()
        elsewhere.take_lease("run-2")
        again = Run.take_up(plan_of("plate"), "run-2", journal=elsewhere, clock=school.clock)
        assert again.state.step == "take-plate"
    with pytest.raises(NotAfterClass, match="still open"):
        school.acts.sign("run-2", I_1, "last-look", "passed")


def test_the_commands_keep_what_they_are_told(school: Class) -> None:
    """`record note`, `excuse` and `sign` with code and PIN from stdin, and the PIN on no command line."""
    People(school.journal).add("I-9", instructor=True, pin="271828")
    record = ["record", "--record", str(school.path)]

    def said(*call: str, typed: str = "I-9\n271828\n") -> str:
        result = CliRunner().invoke(main, [*record, *call], input=typed)
        return f"{result.exit_code} {result.output}"

    assert said("note", "run", "--text", "Well done.").startswith("0 The remark is kept")
    assert said("excuse", "run-1", "--reason", "Fire drill.").startswith("0 The run is excused")
    assert said("sign", "run-1", "--word", "not-yet", "--note", "Scum.").startswith("0 last-look is signed")
    assert said("excuse", "run-1", "--reason", "x", typed="T-01\n271828\n").startswith(
        "1 sinkside: There is no"
    )
    assert said("sign", "run-1", "--of", "x", "--word", "passed").startswith(
        "1 sinkside: `x` is not signed for"
    )
    assert school.bodies()[-3:] == [
        e.NoteAdded("I-9", "Well done."),
        e.RunExcused("I-9", "Fire drill."),
        e.SignedOff("last-look", "I-9", "not_yet", "Scum."),
    ]


@pytest.mark.parametrize(
    "call", ["person show", "person export T-01", "person rename T-01 x", "note r1 --text x"]
)
def test_a_mistyped_path_makes_no_record(tmp_path: Path, call: str) -> None:
    """What looks something up, or changes it, says that there is no such record, and makes none."""
    path = tmp_path / "mistyped" / "record.db"
    result = CliRunner().invoke(main, ["record", "--record", str(path), *call.split()])
    assert result.exit_code == 1
    assert "There is no record" in result.stderr
    assert not path.parent.exists()
    made = CliRunner().invoke(main, ["record", "--record", str(path), "person", "add", "T-01"])
    assert made.exit_code == 0
    assert path.exists()
