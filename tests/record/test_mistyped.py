"""A mistyped code put right after class: figures, exports and erasures go by the right one from then on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from record_kit import SHORT_RUN, Station, opened, short_run

from trainer.cli import main
from trainer.record.after_class import AfterClass, Instructor, PinRefused
from trainer.record.exports.naming import Naming
from trainer.record.exports.source import Wanted, exported
from trainer.record.find_run import of_person
from trainer.record.journal import StationJournal
from trainer.record.mistyped import to_put_right, unlist
from trainer.record.people import People
from trainer.record.practised import faults_of
from trainer.record.rebuild import Dump, dump, rebuild
from trainer.record.retention import too_old
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run.fakes import FakeSignOff
from trainer.run.ports import JournalTrouble
from trainer.run.put_right import put_right
from trainer.run.scoring import score

I_1 = Instructor("I-1", "271828")


@dataclass
class Class:
    """A station where T-31 was typed twice for T-13, and once T-02, which is somebody else's."""

    station: Station
    journal: StationJournal

    def say(self, wrong: str, right: str, *runs: str) -> None:
        """As the command does it."""
        acts = AfterClass(self.journal, FakeSignOff({"I-1": "271828"}), self.station.clock)
        acts.put_right(to_put_right(self.journal, wrong, right, runs), I_1)
        for run in runs or ("r1", "r2"):
            self.station.kept[run] = list(self.journal.events(run))

    def trainees(self, table: str) -> dict[str, set[str]]:
        """By run, who stands in a table."""
        found: dict[str, set[str]] = {}
        with self.journal.reading() as connection:
            for run, who in connection.execute(f"SELECT run, trainee FROM {table}"):  # noqa: S608 - our names
                found.setdefault(run, set()).add(who)
        return found

    def tables(self) -> Dump:
        """Every row of the tables for reading."""
        with self.journal.reading() as connection:
            return dump(connection)


@pytest.fixture
def school(tmp_path: Path) -> Iterator[Class]:
    """Runs r1 and r2 as T-31, r3 as T-13, r4 as T-02 by T-13, r5 as T-02 by T-02."""
    station = Station(tmp_path)
    with station.open() as journal:
        for run, who in (("r1", "T-31"), ("r2", "T-31"), ("r3", "T-13"), ("r4", "T-02"), ("r5", "T-02")):
            short_run(station, journal, run, who)
        yield Class(station, journal)


TABLES = ("runs", "visits", "attempts", "answers", "readings", "exposures", "plates", "signatures")


def test_what_was_kept_stays_and_every_table_says_the_right_one(school: Class) -> None:
    """One event more a run; all tables go by it; made again they are the same; the chain holds."""
    before = school.journal.events("r1")
    school.say("t-31", "t-13")
    after = school.journal.events("r1")
    assert after[:-1] == before
    assert after[-1].body == e.CodeMistyped("I-1", "T-31", "T-13")
    for table in TABLES:
        found = school.trainees(table)
        assert {found[run] == {"T-13"} for run in ("r1", "r2", "r3")} == {True}, table
        assert found["r4"] == found["r5"] == {"T-02"}, table
    tables = school.tables()
    rebuild(school.station.path)
    assert school.tables() == tables
    assert verify(school.station.path).findings == ()


def test_one_run_of_somebody_elses_code(school: Class) -> None:
    """Where the code typed is another trainee's, the named run changes hands and no other."""
    school.say("T-02", "T-13", "r4")
    assert school.trainees("attempts") == {
        "r1": {"T-31"},
        "r2": {"T-31"},
        "r3": {"T-13"},
        "r4": {"T-13"},
        "r5": {"T-02"},
    }
    assert {one.code: one.runs for one in People(school.journal).all()} == {"T-02": 1, "T-13": 2, "T-31": 2}
    assert [kept.run for kept in of_person(school.journal, "T-02")] == ["r5"]
    assert {kept.run for kept in of_person(school.journal, "T-13")} == {"r3", "r4"}


def test_it_can_be_put_back_and_said_again(school: Class) -> None:
    """What was said last counts: put back, everything but the events is as before; a third code is fine."""
    tables = school.tables()
    school.say("T-31", "T-13", "r1")
    school.say("T-13", "T-31", "r1")
    for name, rows in school.tables().items():
        if name not in ("runs", "standing"):
            assert rows == tables[name]
    assert school.trainees("runs")["r1"] == {"T-31"}
    school.say("T-31", "T-14", "r1")
    assert school.trainees("visits")["r1"] == {"T-14"}
    assert verify(school.station.path).findings == ()


def test_marks_and_notes_are_the_right_ones(school: Class) -> None:
    """A score by person counts the marks for the right one; a trainee's own note is his or hers."""
    school.station.keep(school.journal, "r1", (None, e.NoteAdded("T-31", "My hands were wet.")))
    wrong = score(school.journal.events("r1"), "T-31")
    school.say("T-31", "T-13")
    events = school.journal.events("r1")
    assert [mark.words for mark in score(events, "T-13").marks] == [mark.words for mark in wrong.marks]
    assert score(events, "T-31").attempts == 0
    read = put_right(events)
    assert isinstance(read[0].body, e.RunOpened)
    assert read[0].body.trainee == "T-13"
    assert e.NoteAdded("T-13", "My hands were wet.") in [event.body for event in read]
    assert put_right(school.journal.events("r3")) == school.journal.events("r3")


def test_erasing_the_right_person_takes_what_was_under_the_wrong_code(school: Class) -> None:
    """No text of the runs is left, the wrong code neither; and the chain holds."""
    school.station.keep(school.journal, "r1", (None, e.NoteAdded("I-1", "Well done.")))
    school.say("T-31", "T-13")
    assert unlist(school.journal, "T-31")
    each = 1 + len(SHORT_RUN) + 1
    assert People(school.journal).erase("T-13").events == 3 * each + 2 + 1
    with school.journal.reading() as connection:
        kept = connection.execute("SELECT DISTINCT run FROM events WHERE body IS NOT NULL").fetchall()
    assert {run for (run,) in kept} == {"r4", "r5"}
    for code in (b"T-13", b"T-31"):
        assert code not in school.station.path.read_bytes()
    assert verify(school.station.path).findings == ()


def test_erasing_whose_code_it_was_leaves_the_other_alone(school: Class) -> None:
    """T-02 is erased; the run that T-13 did under that code stays whole, and is T-13's."""
    school.say("T-02", "T-13", "r4")
    whole = school.journal.events("r4")
    assert People(school.journal).erase("T-02").runs == ("r5",)
    assert school.journal.events("r4") == whole
    assert school.trainees("attempts")["r4"] == {"T-13"}
    assert verify(school.station.path).findings == ()


def test_what_is_kept_about_a_person_has_it(school: Class) -> None:
    """The export of a person has the runs; the wrong code's has them no more."""
    school.say("T-02", "T-13", "r4")
    for who, runs in (("T-13", ["r3", "r4"]), ("T-02", ["r5"])):
        kept = json.loads(json.dumps(People(school.journal).export(who)))
        assert [run["run"] for run in kept["runs"]] == runs


def test_exports_go_by_the_right_one(school: Class) -> None:
    """Events by trainee are those of whose they are."""
    school.say("T-02", "T-13", "r4")
    with exported(school.station.path, Wanted(trainees=frozenset({"T-13"})), "") as source:
        assert set(source.runs) == {"r3", "r4"}
        assert {one.person for one in source.events("r4")} == {"T-13"}


def _stated(school: Class, out: Path) -> dict[str, dict[str, Any]]:
    """The statements of all, by id, as a store takes them."""
    argv = ["--record", str(school.station.path), "export", "--as", "xapi", "--into", str(out)]
    done = CliRunner().invoke(main, [*argv, "--home-page", "https://sink.example", "--force"])
    assert done.exit_code == 0, done.output
    return {one["id"]: one for one in json.loads(out.read_text("utf-8"))}


def test_a_store_of_statements_comes_to_the_right_ones(school: Class, tmp_path: Path) -> None:
    """Sent before, after, and put back again: no id ever says two things, and what is not voided is right.

    Experience API 1.0.3, part two, 2.3.1 and 2.3.2: a statement does not change; a voided one does not count.
    """
    voided = "http://adlnet.gov/expapi/verbs/voided"
    store: dict[str, dict[str, Any]] = {}
    ahead = {one["id"]: one for one in _stated(school, tmp_path / "0").values()}
    people = dict.fromkeys(("T-31", "T-13", "T-02"), "")
    with exported(school.station.path, Wanted(), "") as source:
        for who in people:
            people[who] = str(Naming("https://sink.example", source.key()).agent(who)["account"]["name"])  # type: ignore[index]
    for turn, (wrong, right) in enumerate(
        (("", ""), ("T-31", "T-13"), ("T-13", "T-31"), ("T-31", "T-02")), start=1
    ):
        if wrong:
            school.say(wrong, right, "r1")
        for ident, one in _stated(school, tmp_path / str(turn)).items():
            assert store.setdefault(ident, one) == one
        gone = {one["object"]["id"] for one in store.values() if one["verb"]["id"] == voided}
        counts = [one for one in store.values() if one["id"] not in gone and one["verb"]["id"] != voided]
        assert len(counts) == len(ahead)
        who = people[right or "T-31"]
        registration = next(iter(ahead.values()))["context"]["registration"]
        mine = [one for one in counts if one["context"]["registration"] == registration]
        assert {one["actor"]["account"]["name"] for one in mine} == {who}


def test_old_runs_and_practice_follow(school: Class) -> None:
    """What is too old is told under the right code; faults to practise are the right one's."""
    school.station.keep(
        school.journal, "r6", (None, opened("T-31")), ("burn", e.PlateSpoiled(1, "vacuum", "bent", "burn"))
    )
    school.station.keep(school.journal, "r6", (None, e.RunClosed("stopped", "bent")))
    school.say("T-31", "T-13")
    assert [event.run for event in faults_of(school.journal, "T-13")] == ["r6"]
    assert faults_of(school.journal, "T-31") == ()
    found = too_old(school.journal, date(2099, 1, 1))
    assert {share.trainee for share in found.shares} == {"T-13", "T-02"}


@pytest.mark.parametrize(
    ("wrong", "right", "runs", "said"),
    [
        ("T-13", "T-13", (), "T-13 and T-13 are one code"),
        ("t-13", "T-13", (), "are one code"),
        ("T-99", "T-13", (), "No run here is recorded as T-99"),
        ("T-31", "I-9", (), "I-9 is an instructor"),
        ("T-31", "nobody at all", (), "letters, digits and hyphens"),
        ("T-31", "T-13", ("r5",), "Run r5 is not recorded as T-31"),
        ("T-40", "T-13", (), "Run r7 is still open: hand it over to T-13"),
        ("T-41", "T-13", (), "Run r8 was handed over"),
        ("T-42", "T-13", ("r8",), "Run r8 was handed over"),
    ],
)
def test_what_cannot_be_put_right_is_refused(
    school: Class, wrong: str, right: str, runs: tuple[str, ...], said: str
) -> None:
    """One sentence, before any PIN is asked for, and nothing is kept."""
    People(school.journal).add("I-9", instructor=True, pin="271828")
    school.station.keep(school.journal, "r7", (None, opened("T-40")), *SHORT_RUN[:3])
    school.station.keep(school.journal, "r8", (None, opened("T-41")), (None, e.RunHandedOver("T-41", "T-42")))
    school.station.keep(school.journal, "r8", (None, e.RunClosed("stopped", "late")))
    with pytest.raises(JournalTrouble, match=said):
        to_put_right(school.journal, wrong, right, runs)


def test_a_wrong_pin_keeps_nothing(school: Class) -> None:
    """The PIN is checked once, before the first run."""
    signs = FakeSignOff({"I-1": "271828"})
    acts = AfterClass(school.journal, signs, school.station.clock)
    with pytest.raises(PinRefused, match="not the PIN of I-1"):
        acts.put_right(to_put_right(school.journal, "T-31", "T-13"), Instructor("I-1", "000000"))
    assert school.trainees("runs")["r1"] == {"T-31"}


def test_the_command(tmp_path: Path) -> None:
    """Code and PIN from its input; what was done in a sentence; a code that is nobody's leaves the list."""
    station = Station(tmp_path)
    with station.open() as journal:
        short_run(station, journal, "r1", "T-31")
        People(journal).add("I-9", instructor=True, pin="271828")
    record = ["--record", str(station.path), "record", "person"]
    done = CliRunner().invoke(main, [*record, "mistyped", "T-31", "t-13"], input="I-9\n271828\n")
    assert done.exit_code == 0, done.output
    assert "1 run of T-31 will be T-13's." in done.stderr
    assert done.stdout.splitlines() == [
        "Done: 1 run of T-31 put down to T-13.",
        "T-31 is nobody's code any more, and is no longer listed.",
    ]
    shown = CliRunner().invoke(main, [*record, "show"]).stdout
    assert "T-31" not in shown
    assert "T-13" in shown
    again = CliRunner().invoke(main, [*record, "mistyped", "T-31", "T-13"], input="I-9\n271828\n")
    assert again.exit_code == 1
    assert "No run here is recorded as T-31" in again.stderr
