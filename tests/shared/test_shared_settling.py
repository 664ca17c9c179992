"""Conflicts settled by the keeper: which side stands, what verifying says, what the station does next."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import psycopg
import pytest
from click.testing import CliRunner, Result
from forwarding_kit import forwarded, wrong
from record_kit import SOURCE, Station, opened, real_hash, shown
from rights_kit import refused
from shared_kit import Shared, insert, server, shared

from trainer.cli import main
from trainer.insight.glance import looking
from trainer.insight.one_run import events
from trainer.record.chain import read_key
from trainer.record.findings import Report
from trainer.record.shared import settling, state
from trainer.record.shared.address import write_credential
from trainer.record.shared.connecting import connected
from trainer.record.shared.erasing import erase_person
from trainer.record.shared.stations import places, states
from trainer.record.shared.troubles import SharedTrouble
from trainer.record.shared.verifying import verify
from trainer.run import events as e

pytestmark = pytest.mark.long
__all__ = ["server", "shared"]

Acts = tuple[e.Body, ...]


def branched(folder: Path, shared: Shared, first: Acts, later: Acts, who: str = "T-03") -> Station:
    """A station whose run r3 went one way and was sent, was put back from a backup, and went another way."""
    station = Station(folder)
    with station.open() as journal:
        journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
        station.keep(journal, "r3", (None, opened(who)), ("draw-down", shown()))
    before = station.path.read_bytes()
    for acts in (first, later):
        station.path.write_bytes(before)
        del station.kept["r3"][2:]
        go_on(station, *acts)
        forwarded(station, shared.one)
    return station


def go_on(station: Station, *acts: e.Body) -> None:
    """The open run goes on at the station."""
    with station.open() as journal:
        journal.take_lease("r3")
        station.keep(journal, "r3", *(("draw-down", act) for act in acts))


def looked_over(shared: Shared, station: Station) -> Report:
    """What verifying finds, with the station's key."""
    key = read_key(station.path)
    assert key is not None
    with connected(shared.keeper.address) as keeper:
        return verify(keeper, keys=[key])


def codes(report: Report) -> set[str]:
    """What is told, whether it is a problem or not."""
    return {one.code for one in report.findings} - {"no_contact"}


def settle(shared: Shared, keep: settling.Side, why: str = "asked at the sink") -> None:
    """All that is open, settled by the keeper's credential."""
    with connected(shared.keeper.address) as keeper:
        settling.settle(keeper, settling.seen(keeper), keep, why)


def open_ones(shared: Shared) -> int:
    """Open conflicts as the line of the station has them; the list has as many."""
    with connected(shared.keeper.address) as keeper:
        counted = sum(one.conflicts for one in states(keeper))
        assert len(settling.seen(keeper)) == counted
    return counted


def kinds(shared: Shared) -> list[str]:
    """The kinds of events of r3 as a reviewer gets them."""
    with looking(shared.reviewer.address) as record:
        found, troubles = events(record, "r3")
    assert troubles == ()
    return [one.body.kind for one in found]


ONE: Acts = (e.Confirmed(),)
OTHER: Acts = (e.HintOpened(), e.Confirmed())


@pytest.mark.parametrize(
    ("keep", "third", "notes"),
    [
        ("here", "confirmed", {"settled_place", "settled_link"}),
        ("station", "hint_opened", {"settled_place"}),
    ],
)
def test_a_conflict_is_settled_and_chains_hold(
    shared: Shared, tmp_path: Path, keep: settling.Side, third: str, notes: set[str]
) -> None:
    """Open, it is a problem; settled, it is told in words with who and why, and nothing is a problem.

    Where the station's side does not stand, the next event's link leads to it: that is said.
    Both bodies are still there. Readers get the side that stands.
    """
    station = branched(tmp_path, shared, ONE, OTHER)
    assert "conflict_place" in codes(looked_over(shared, station))
    assert open_ones(shared) == 1
    settle(shared, keep, "  the backup was put back\non Monday ")
    report = looked_over(shared, station)
    assert report.ok, report.as_text()
    assert codes(report) == notes
    said = next(one.message for one in report.findings if one.code == "settled_place")
    assert f"Settled by {shared.keeper.address.user} at " in said
    assert "since: the backup was put back on Monday" in said
    assert open_ones(shared) == 0
    assert kinds(shared) == ["run_opened", "step_shown", third, "confirmed"]
    with shared.admin.open() as admin:
        assert admin.execute("SELECT count(*) FROM sinkside.conflicts WHERE body <> ''").fetchone() == (1,)
        assert admin.execute("SELECT count(*) FROM sinkside.events").fetchone() == (4,)


def test_the_station_goes_on_as_before(shared: Shared, tmp_path: Path) -> None:
    """Its own body stays in its record; told again, the conflict is known and stays settled.

    Where it goes on with that run it sends its own rows: that is said in words, and `--again` puts it right.
    """
    wrongly = e.QuizAnswered("why", "number", ("3",), right=False)
    rightly = e.QuizAnswered("why", "number", ("-2.5",), right=True)
    station = branched(tmp_path, shared, (wrongly,), (rightly, e.Confirmed()))
    settle(shared, "here")
    with connected(shared.one.address) as one:
        one.execute("UPDATE sinkside.cursors SET last = 0, id = ''")
    assert forwarded(station, shared.one).conflicts == 0
    assert open_ones(shared) == 0
    now = state.read(station.path)
    assert now is not None
    assert now.conflicts == 0
    go_on(station, e.HintOpened())
    assert forwarded(station, shared.one).new == 1
    report = looked_over(shared, station)
    assert report.ok, report.as_text()
    assert "settled_tables" in codes(report)
    with connected(shared.keeper.address) as keeper:
        assert settling.settle_again(keeper, places(keeper)) == ["r3"]
    assert codes(looked_over(shared, station)) == {"settled_place", "settled_link"}


def test_the_last_word_counts_and_all_words_are_kept(shared: Shared, tmp_path: Path) -> None:
    """Settled anew: a row of its own. No row is changed or deleted, not even by the database's owner."""
    station = branched(tmp_path, shared, ONE, OTHER)
    settle(shared, "here")
    with connected(shared.keeper.address) as keeper:
        settling.settle(keeper, settling.seen(keeper, settled=True), "station", "asked again")
        with pytest.raises(SharedTrouble, match="Say why"):
            settling.settle(keeper, settling.seen(keeper, settled=True), "here", " \n")
    assert codes(looked_over(shared, station)) == {"settled_place"}
    with shared.admin.open() as admin:
        words = admin.execute("SELECT stands, why FROM sinkside.settlements ORDER BY number").fetchall()
        assert words == [("here", "asked at the sink"), ("station", "asked again")]
        for statement in ("UPDATE sinkside.settlements SET why = 'x'", "DELETE FROM sinkside.settlements"):
            with pytest.raises(psycopg.errors.RaiseException, match="never changed or deleted"):
                admin.execute(statement)


def test_a_shorter_list_can_stand(shared: Shared, tmp_path: Path) -> None:
    """What the station has no more is kept, is no part of the run, and is told; going on is another."""
    station = branched(tmp_path, shared, (e.Confirmed(), e.Paused()), (e.HintOpened(),))
    with connected(shared.keeper.address) as keeper:
        known = settling.seen(keeper)
        assert {one.kind for one in known} == {"place", "head"}
        chosen = settling.of_run(known, known[0])
        assert len(chosen) == 2
        settling.settle(keeper, chosen, "station", "the run was put back")
    report = looked_over(shared, station)
    assert report.ok, report.as_text()
    assert codes(report) == {"settled_place", "settled_head", "settled_end"}
    assert kinds(shared) == ["run_opened", "step_shown", "hint_opened"]
    go_on(station, e.Confirmed(), e.Paused())
    forwarded(station, shared.one)
    with connected(shared.keeper.address) as keeper:
        assert [(one.kind, one.seq) for one in settling.seen(keeper)] == [("place", 4)]
        settling.settle(keeper, settling.seen(keeper), "station", "the same run")
    report = looked_over(shared, station)
    assert report.ok, report.as_text()
    assert kinds(shared) == ["run_opened", "step_shown", "hint_opened", "confirmed", "paused"]


def test_what_was_settled_away_is_guarded_too(shared: Shared, tmp_path: Path) -> None:
    """The event that does not stand is held against its digest all the same; a real fault is not excused."""
    station = branched(tmp_path, shared, ONE, OTHER)
    settle(shared, "station")
    with shared.admin.open() as admin:
        admin.execute("SET session_replication_role = replica")
        admin.execute("UPDATE sinkside.events SET body = '{}' WHERE seq = 3")
        admin.execute("UPDATE sinkside.events SET head = 'x' WHERE seq = 2")
    report = looked_over(shared, station)
    assert {(one.code, one.seq) for one in report.findings if one.severity == "problem"} == {
        ("body_altered", 3),
        ("header_altered", 2),
    }


def test_what_does_not_fit_itself_never_stands(shared: Shared, tmp_path: Path) -> None:
    """A body altered by hand, and what is no event at all: the first one stands, or nothing is settled."""
    station = branched(tmp_path, shared, ONE, OTHER)
    row = {"site": shared.one.site, "run": "r3", "seq": 2, "digest": b"\x02", "salt": b"s", "body": "{}"}
    with shared.one.open() as one:
        one.execute(*insert("conflicts", {**row, "kind": "event", "id": "01a2"}))
        one.execute(*insert("conflicts", {**row, "kind": "unfit", "id": "mine"}))
    with connected(shared.keeper.address) as keeper:
        known = settling.seen(keeper)
        for kind, said in (("event", "altered by hand"), ("unfit", "cannot be kept here")):
            with pytest.raises(SharedTrouble, match=said):
                settling.settle(keeper, [one for one in known if one.kind == kind], "station", "x")
        with pytest.raises(SharedTrouble):
            settling.settle(keeper, known, "station", "all at once")
        assert len(settling.seen(keeper)) == 3
        settling.settle(keeper, known, "here", "written by hand")
    assert looked_over(shared, station).ok


def test_only_a_keeper_settles(shared: Shared, tmp_path: Path) -> None:
    """A reviewer sees all of it, a station that there is a word on its own, and not whose; neither writes."""
    branched(tmp_path, shared, ONE, OTHER)
    with connected(shared.reviewer.address) as reviewer:
        assert len(settling.seen(reviewer)) == 1
    with pytest.raises(SharedTrouble, match="does not let"), connected(shared.reviewer.address) as reviewer:
        settling.settle(reviewer, settling.seen(reviewer), "here", "x")
    settle(shared, "here")
    call = "SELECT sinkside.settle(%s, 'place', 'x', 'x', 'here', 'x')"
    for login in (shared.reviewer, shared.one, shared.two):
        refused(login, call, (shared.one.site,))
        refused(login, "INSERT INTO sinkside.settlements DEFAULT VALUES")
    refused(shared.one, "SELECT why FROM sinkside.settlements")
    refused(shared.one, "SELECT * FROM sinkside.disputes")
    for login, seen in ((shared.one, 1), (shared.two, 0), (shared.far, 0)):
        with login.open() as own:
            assert own.execute("SELECT count(stands) FROM sinkside.settlements").fetchone() == (seen,)


@pytest.mark.parametrize("keep", ["here", "station"])
def test_an_erased_person_goes_from_both_sides(shared: Shared, tmp_path: Path, keep: settling.Side) -> None:
    """The one whose event does not stand too, though another's stands in that place; chains still hold."""
    later = (e.RunHandedOver("T-03", "T-05"), e.HintOpened())
    first = (e.HintOpened(), e.Confirmed())
    station = branched(tmp_path, shared, first, later)
    settle(shared, keep)
    with connected(shared.keeper.address) as keeper:
        erase_person(keeper, "T-05", "North")
    with shared.admin.open() as admin:
        texts = admin.execute(
            "SELECT person || coalesce(body, '') FROM sinkside.conflicts UNION ALL "
            "SELECT person || coalesce(body, '') FROM sinkside.events"
        ).fetchall()
    assert not any("T-05" in text for (text,) in texts)
    assert looked_over(shared, station).ok, looked_over(shared, station).as_text()


@pytest.fixture
def command(shared: Shared, tmp_path: Path) -> Callable[..., Result]:
    """Calls `record shared` with the keeper's credential."""
    credential = tmp_path / "keeper.conf"
    address = f"postgresql://{shared.keeper.address.user}@127.0.0.1:{shared.server.port}/{shared.database}"
    write_credential(credential, address, shared.keeper.address.password or "", "a test's")

    def call(*argv: str) -> Result:
        argv = ("record", "shared", "--credential", str(credential), *argv)
        return CliRunner().invoke(main, argv, env={"COLUMNS": "80"})

    return call


def test_the_commands(shared: Shared, tmp_path: Path, command: Callable[..., Result]) -> None:
    """Listed side by side in 80 columns, settled by the beginning of a name, and gone from every list."""
    assert command("conflicts").stdout == "No conflict is open.\n"
    station = branched(tmp_path / "station", shared, ONE, OTHER)
    listed = command("conflicts")
    lines = listed.stdout.splitlines()
    name = lines[0].split()[0]
    assert lines[0] == f"{name}  North, sink 1, run r3, event 3"
    assert any(line.split() == ["!", "body.kind", "confirmed", "hint_opened"] for line in lines)
    assert any(line.split()[:2] == ["!", "digest"] for line in lines)
    assert max(map(len, lines)) <= 80
    assert "1 conflict: see conflicts" in command("stations").stdout
    assert command("verify").exit_code == 1
    assert f"record shared settle {name}" in command("verify").stdout
    for wrongly in (
        ("settle",),
        ("settle", name),
        ("settle", name, "--keep", "here"),
        ("settle", "--again", name),
    ):
        assert command(*wrongly).exit_code == 2
    for unknown in ("zzzz", "", name[:2]):
        assert "No conflict is called" in command("settle", unknown, "--keep", "here", "--why", "x").stderr
    done = command("settle", name[:6].upper(), "--run", "--keep", "station", "--why", "put back on Monday")
    assert done.stdout == f"{name} is settled: what the station told later stands.\n", done.output
    assert command("conflicts").stdout == "No conflict is open.\n"
    assert "put back on Monday" in command("conflicts", "--all").stdout
    assert "conflict" not in command("stations").stdout
    verified = command("verify")
    assert verified.exit_code == 0
    assert "put back on Monday" in verified.stdout
    assert command("settle", "--again").stdout.startswith("The tables for reading of 1 runs say")
    assert command("conflicts", "--school", "Nroth").exit_code == 1
    assert wrong(shared, station.path) == []
