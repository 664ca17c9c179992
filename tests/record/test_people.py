"""People: codes, names in one table, export and erasure of one person."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from record_kit import (
    SHORT_RUN,
    Station,
    histories,
    kept_events,
    opened,
    short_run,
    shown,
    station_with_a_run,
)

from trainer.cli import main
from trainer.record import rebuild
from trainer.record.codes import code
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.verify import verify
from trainer.run import events as e
from trainer.run import wire
from trainer.run.ports import JournalTrouble, LeaseLost

PIN = "804215"


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("T-01", "T-01"),
        (" t-01\t", "T-01"),
        ("7", "7"),
        ("e\u0301-1", "\u00c9-1"),
        ("\u00e9-1", "\u00c9-1"),
        ("ABCDEFGH-IJKLMNO", "ABCDEFGH-IJKLMNO"),
        ("\uff34\uff0d\uff10\uff11", "T-01"),
        ("\U0001d413-\u0660\u0661", "T-01"),
        ("T-0\u00b2", "T-02"),
        ("\u0422-01", "\u0422-01"),
        ("\u6c34\u3042\u30a2-1", "\u6c34\u3042\u30a2-1"),
    ],
)
def test_a_code_is_kept_in_one_form(typed: str, kept: str) -> None:
    """Blanks, lower case, decomposed or wide letters, digits of any script: one and the same code."""
    assert code(typed) == kept


@pytest.mark.parametrize(
    "typed",
    [
        "",
        " ",
        "T 01",
        "T/01",
        "../x",
        "T_01",
        "-T",
        "T-",
        "T-01\x1b[2J",
        "T\u202e01",
        "[b]",
        "=1+1",
        "A" * 17,
        "\u115f",
        "T\u116001",
        "T\u316401",
        "T\uffa001",
        "T\u0410-01",
        "\u0391A",
        "T.1",
    ],
)
def test_what_is_no_code_is_refused_in_a_sentence(typed: str) -> None:
    """Anything but letters, digits and hyphens, and anything too long, is refused with an example."""
    with pytest.raises(ValueError, match=r"for instance T-01\.$"):
        code(typed)


def test_a_trainee_is_made_where_first_used(tmp_path: Path) -> None:
    """The trainee of an opened run and the one it is handed to are listed, without a name or a PIN."""
    station = Station(tmp_path)
    with station.open() as journal:
        people = People(journal)
        assert people.all() == []
        station.keep(journal, "r1", (None, opened("T-02")), (None, e.RunHandedOver("T-02", "T-01")))
        assert people.codes() == ["T-01", "T-02"]
        found = people.show("t-02")
        assert (found.role, found.name, found.has_pin, found.runs) == ("trainee", "", False, 1)


def test_people_are_added_named_and_renamed(tmp_path: Path) -> None:
    """A trainee and an instructor are listed by role; a name is cleaned, corrected and taken away again."""
    station = Station(tmp_path)
    with People.at(station.path, station.clock) as people:
        added = people.add("t-01", "Ada\n Vale\x1b")
        assert (added.code, added.name) == ("T-01", "Ada Vale\u241b")
        people.add("I-1", "Sol Marsh", instructor=True, pin=PIN)
        assert people.codes("trainee") == ["T-01"]
        assert people.codes("instructor") == ["I-1"]
        assert people.show("I-1").has_pin is True
        assert people.rename("T-01", "Ada Vail").name == "Ada Vail"
        assert people.rename("T-01", "").name == ""


def test_somebody_already_made_at_first_use_can_be_added_to(tmp_path: Path) -> None:
    """A trainee without a name gets one by `add`, or becomes an instructor; a listed one is refused."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened("T-01")))
        people = People(journal)
        assert people.add("T-01", "Ada Vale").name == "Ada Vale"
        with pytest.raises(JournalTrouble, match="listed already"):
            people.add("T-01", "Somebody Else")
        promoted = people.add("T-01", instructor=True, pin=PIN)
        assert (promoted.role, promoted.name, promoted.runs) == ("instructor", "Ada Vale", 1)
        with pytest.raises(JournalTrouble, match="listed already"):
            people.add("T-01", instructor=True, pin=PIN)


@pytest.mark.parametrize(
    ("instructor", "pin", "said"),
    [(True, "", "needs a PIN"), (False, PIN, "Only an instructor"), (True, "123456", "first that anybody")],
)
def test_a_person_with_the_wrong_pin_for_the_role_is_refused(
    tmp_path: Path, instructor: bool, pin: str, said: str
) -> None:
    """An instructor without a PIN or with an easy one, and a trainee with one, are refused and not listed."""
    station = Station(tmp_path)
    with station.open() as journal:
        people = People(journal)
        with pytest.raises(JournalTrouble, match=said):
            people.add("X-1", instructor=instructor, pin=pin)
        assert people.codes() == []


def test_somebody_unknown_is_told(tmp_path: Path) -> None:
    """Showing, renaming, exporting, erasing and a new PIN for an unknown code each say that nobody has it."""
    station = Station(tmp_path)
    with station.open() as journal:
        people = People(journal)
        for ask in (people.show, people.export, people.erase):
            with pytest.raises(JournalTrouble, match="Nobody here has the code T-09"):
                ask("T-09")
        with pytest.raises(JournalTrouble, match="Nobody here has the code T-09"):
            people.rename("T-09", "x")
        with pytest.raises(JournalTrouble, match="Nobody here has the code T-09"):
            people.set_pin("T-09", PIN)
        with pytest.raises(JournalTrouble, match="letters, digits and hyphens"):
            people.show("no code")


def test_an_export_is_everything_about_one_person_and_nothing_of_others(tmp_path: Path) -> None:
    """The export holds the row, all own events whole, and where else the code stands; it is plain JSON."""
    station = Station(tmp_path)
    with station.open() as journal:
        people = People(journal)
        people.add("T-01", "Ada Vale")
        people.add("I-1", "Sol Marsh", instructor=True, pin=PIN)
        short_run(station, journal, "r1", "T-01")
        short_run(station, journal, "r2", "T-02")
        trainee = json.loads(json.dumps(people.export("T-01")))
        instructor = people.export("I-1")
    assert trainee["person"]["name"] == "Ada Vale"
    assert [run["run"] for run in trainee["runs"]] == ["r1"]
    assert [wire.event_from_json(one) for one in trainee["runs"][0]["events"]] == station.kept["r1"]
    assert "T-02" not in json.dumps(trainee)
    assert instructor["runs"] == []
    assert len(instructor["named_elsewhere"]) == 2  # type: ignore[arg-type]


def test_erasing_a_person_leaves_no_trace_and_a_chain_that_holds(tmp_path: Path) -> None:
    """After an erasure neither name nor code nor note is in any file, and the record verifies."""
    station = Station(tmp_path)
    with station.open() as journal:
        people = People(journal)
        people.add("T-77", "Ottoline Quarmby")
        short_run(station, journal, "r1", "T-77")
        short_run(station, journal, "r2", "T-02")
        journal.take_lease("r1")
        station.keep(journal, "r1", (None, e.NoteAdded("T-77", "my left-handed remark")))
        assert b"Quarmby" in station.path.read_bytes()
        erased = people.erase("t-77")
        assert (erased.code, erased.events, erased.runs) == ("T-77", len(station.kept["r1"]), ("r1",))
        assert list(journal.events("r2")) == station.kept["r2"]
        with pytest.raises(JournalTrouble, match="event 1 belonged to a person who was erased"):
            journal.events("r1")
        assert kept_events(journal, "r1") == []
        assert people.codes() == ["T-02"]
        head = journal.head_of("r1")
    for path in station.path.parent.iterdir():
        for word in (b"Quarmby", b"T-77", b"left-handed"):
            assert word not in path.read_bytes(), path.name
    report = verify(station.path)
    assert report.findings == ()
    assert report.erased == head.count
    assert "erased with the person" in report.as_text()
    before = _dump(station)
    rebuild.rebuild(station.path)
    assert _dump(station) == before


def _dump(station: Station) -> rebuild.Dump:
    with station.open() as journal, journal.reading() as connection:
        return rebuild.dump(connection)


def test_events_are_append_only_again_after_an_erasure(tmp_path: Path) -> None:
    """The rules that an erasure lifts are back when it is done."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        People(journal).erase("T-01")
        with journal.reading() as connection, pytest.raises(sqlite3.IntegrityError, match="never changed"):
            connection.execute("UPDATE events SET stored = ''")


def test_the_other_half_of_a_handed_over_run_stays(tmp_path: Path) -> None:
    """Erasing who began a closed run keeps the acts of who went on with it, under his or her code."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(
            journal,
            "r1",
            (None, opened("T-01")),
            ("a", shown()),
            ("a", e.Confirmed()),
            ("a", e.RunHandedOver("T-01", "T-02")),
            ("b", shown()),
            ("b", e.Confirmed()),
            ("b", e.RunClosed("done")),
        )
        assert People(journal).erase("T-01").events == 4
        assert [event.seq for event in kept_events(journal, "r1")] == [5, 6, 7]
        with journal.reading() as connection:
            attempts = connection.execute("SELECT seq, trainee, step FROM attempts").fetchall()
        assert attempts == [(6, "T-02", "b")]
        assert [person.code for person in People(journal).all()] == ["T-02"]
    assert verify(station.path).findings == ()


def test_a_run_that_goes_on_in_other_hands_is_not_torn_away(tmp_path: Path) -> None:
    """While a handed-over run is open, erasing who began it is refused and erases nothing."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened("T-01")), (None, e.RunHandedOver("T-01", "T-02")))
        with pytest.raises(JournalTrouble, match=r"Let T-02 finish or stop it.*Nothing was erased"):
            People(journal).erase("T-01")
        assert list(journal.events("r1")) == station.kept["r1"]
        assert "T-01" in People(journal).codes()


def test_an_open_run_of_the_erased_is_gone_from_the_screen_too(tmp_path: Path) -> None:
    """Erasing a person with an open run takes it off the open runs, and the terminal showing it is told."""
    station = Station(tmp_path)
    with station.open() as screen, station.open() as office:
        station.keep(screen, "r1", (None, opened("T-01")), ("a", shown()))
        People(office).erase("T-01")
        assert office.open_runs() == []
        with pytest.raises(LeaseLost):
            station.keep(screen, "r1", ("a", e.Confirmed()))
    assert verify(station.path).findings == ()


def test_a_run_erased_in_part_is_not_offered_to_who_began_it(tmp_path: Path) -> None:
    """When the one an open run was handed to is erased, what is left is no longer an open run."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(
            journal, "r1", (None, opened("T-01")), ("a", shown()), ("a", e.RunHandedOver("T-01", "T-02"))
        )
        station.keep(journal, "r1", ("a", e.Confirmed()))
        assert People(journal).erase("T-02").events == 2
        assert journal.open_runs() == []
        assert [event.seq for event in kept_events(journal, "r1")] == [1, 2]
    before = _dump(station)
    rebuild.rebuild(station.path)
    assert _dump(station) == before
    assert verify(station.path).findings[0].code == "procedure_missing"


@settings(max_examples=settings().max_examples // 5, suppress_health_check=[HealthCheck.too_slow])
@given(history=histories(), who=st.sampled_from(["T-01", "T-02", "I-1"]))
def test_anybody_can_be_erased_from_any_history(
    history: list[tuple[str, list[tuple[str | None, e.Body]]]],
    who: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """An erasure is refused whole, or leaves no event of the person, and a chain that holds."""
    station = Station(tmp_path_factory.mktemp("history"))
    with station.open() as journal:
        for run, batch in history:
            station.keep(journal, run, *batch)
        known = who in People(journal).codes()
        before = _people_at_work(journal)
        said = ""
        try:
            People(journal).erase(who)
        except JournalTrouble as refused:
            said = refused.args[0]
        after = _people_at_work(journal)
        if said:
            assert "still open" in said or not known
            assert after == before
        else:
            assert who not in _whose(journal)
        tables = _dump(station)
    assert {finding.code for finding in verify(station.path).findings} <= {"procedure_missing"}
    rebuild.rebuild(station.path)
    assert _dump(station) == tables


def _people_at_work(journal: StationJournal) -> list[str]:
    with journal.reading() as connection:
        return [who for (who,) in connection.execute("SELECT person FROM events ORDER BY run, seq")]


def _whose(journal: StationJournal) -> set[str]:
    """Whose the kept events are: of a run under a mistyped code, whoever was said to be right last."""
    with journal.reading() as connection:
        rows = connection.execute("SELECT run, person FROM events WHERE body IS NOT NULL").fetchall()
    people = set()
    for run, person in rows:
        said = [
            event.body.to for event in kept_events(journal, run) if isinstance(event.body, e.CodeMistyped)
        ]
        people.add(said[-1] if said else person)
    return people


def test_erasing_an_instructor_keeps_the_trainees_sign_offs(tmp_path: Path) -> None:
    """Name and PIN go, the sign-off stays with the bare code, and no other instructor can take that code."""
    station = Station(tmp_path)
    with station.open() as journal:
        people = People(journal)
        people.add("I-1", "Sol Marsh", instructor=True, pin=PIN)
        short_run(station, journal, "r1")
        assert people.erase("I-1").events == 0
        assert list(journal.events("r1")) == station.kept["r1"]
        assert "I-1" not in people.codes()
        with pytest.raises(JournalTrouble, match="stands on sign-offs of somebody"):
            people.add("I-1", "Somebody Else", instructor=True, pin=PIN)
    assert b"Marsh" not in station.path.read_bytes()


def test_an_erasure_that_cannot_write_the_file_anew_says_so(tmp_path: Path) -> None:
    """Where the file cannot be written anew, the person is erased and a sentence says the rest."""

    def no_copies(action: int, *_: str | None) -> int:
        return sqlite3.SQLITE_DENY if action == sqlite3.SQLITE_ATTACH else sqlite3.SQLITE_OK

    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        with journal.reading() as connection:
            connection.set_authorizer(no_copies)
        with pytest.raises(JournalTrouble, match=r"T-01 is erased\. But the file could not be written anew"):
            People(journal).erase("T-01")
        assert People(journal).codes() == []


def test_two_people_can_be_erased_one_after_the_other(tmp_path: Path) -> None:
    """Erasures are linked lines: after two of them the record still verifies, and a run can be opened."""
    station = Station(tmp_path)
    with station.open() as journal:
        people = People(journal)
        for number in (1, 2, 3):
            short_run(station, journal, f"r{number}", f"T-0{number}")
        people.erase("T-01")
        people.erase("T-03")
        short_run(station, journal, "r4", "T-01")
    report = verify(station.path)
    assert report.findings == ()
    assert (report.runs, report.erased) == (4, 2 * (len(SHORT_RUN) + 2))


def test_the_runs_of_one_person_are_listed_the_newest_first(tmp_path: Path) -> None:
    """Of a run that was handed over both have their part; who never worked has none."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r2", (None, opened("T-02")), (None, e.RunHandedOver("T-02", "T-01")))
        station.keep(journal, "r2", (None, e.Paused()))
        people = People(journal)
        people.add("T-05")
        assert [(run.run, run.closed) for run in people.runs_of("t-01")] == [("r2", ""), ("r1", "done")]
        assert [run.run for run in people.runs_of("T-02")] == ["r2"]
        assert people.runs_of("T-05") == []


@pytest.mark.parametrize(
    ("who", "said"), [("T-01", "T-01 is a trainee"), ("I-9", "Nobody here has the code I-9")]
)
def test_who_can_have_no_pin_is_told_before_one_is_typed(tmp_path: Path, who: str, said: str) -> None:
    """A PIN that would be refused anyhow is not what is complained of."""
    station = station_with_a_run(tmp_path)
    argv = ["--record", str(station.path), "record", "person", "pin", who]
    done = CliRunner().invoke(main, argv, input="1\n")
    assert done.exit_code == 1
    assert said in done.stderr
