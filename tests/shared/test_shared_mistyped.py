"""A mistyped code put right at a station, as it is forwarded, waits to be erased, and is erased."""

from __future__ import annotations

from pathlib import Path

import pytest
from forwarding_kit import compare, forwarded, wrong
from postgres_kit import Postgres
from record_kit import Station, opened, short_run, shown
from shared_kit import Shared, running, shared

from trainer.record.after_class import AfterClass, Instructor
from trainer.record.mistyped import to_put_right, unlist
from trainer.record.shared.connecting import connected
from trainer.record.shared.erasing import erase_person
from trainer.run import events as e
from trainer.run.fakes import FakeSignOff

pytestmark = pytest.mark.long
__all__ = ["shared"]


@pytest.fixture
def server() -> Postgres:
    """The server of this process."""
    return running()


def put_right(station: Station, wrong_code: str, right: str, *runs: str) -> None:
    """As an instructor does after class."""
    with station.open() as journal:
        acts = AfterClass(journal, FakeSignOff({"I-1": "271828"}), station.clock)
        acts.put_right(to_put_right(journal, wrong_code, right, runs), Instructor("I-1", "271828"))
        for run in runs:
            station.kept[run] = list(journal.events(run))
        unlist(journal, wrong_code)


def test_it_goes_up_and_the_tables_there_follow(shared: Shared, tmp_path: Path) -> None:
    """One event more; every table is the station's; the chain is whole; so too where it is put back."""
    station = Station(tmp_path)
    with station.open() as journal:
        short_run(station, journal, "r1", "T-02")
        short_run(station, journal, "r2", "T-13")
    assert forwarded(station, shared.one).new == 2 * 19
    for pair in (("T-02", "T-13"), ("T-13", "T-02")):
        put_right(station, *pair, "r1")
        assert forwarded(station, shared.one).new == 1
        assert compare(station.path, shared) == []
        assert wrong(shared, station.path) == []


def test_while_somebody_waits_to_be_erased_only_whose_it_is_counts(shared: Shared, tmp_path: Path) -> None:
    """T-13 and T-02 wait, each for an open run in others' hands. T-20's run under T-02's code goes up whole.

    T-13's run under T-31's code goes up without a body, and is erased with the rest in the end.
    """
    station = Station(tmp_path)
    with station.open() as journal:
        for run, who in (("o1", "T-13"), ("o2", "T-02")):
            station.keep(journal, run, (None, opened(who)), ("draw-down", shown()))
            station.keep(journal, run, ("draw-down", e.RunHandedOver(who, "T-40")))
        for run, who in (("r1", "T-31"), ("r2", "T-02")):
            short_run(station, journal, run, who)
    put_right(station, "T-31", "T-13", "r1")
    put_right(station, "T-02", "T-20", "r2")
    with connected(shared.keeper.address) as keeper:
        for who in ("T-13", "T-02"):
            erase_person(keeper, who, "North")
    assert "T-40" in forwarded(station, shared.one).waits
    bodies = "SELECT run, count(*), count(body) FROM sinkside.events GROUP BY run ORDER BY run"
    with connected(shared.keeper.address) as keeper:
        assert keeper.execute(bodies).fetchall() == [
            ("o1", 3, 0),
            ("o2", 3, 0),
            ("r1", 20, 0),
            ("r2", 20, 20),
        ]
    with station.open() as journal:
        for run in ("o1", "o2"):
            journal.take_lease(run)
            station.keep(journal, run, ("draw-down", e.RunClosed("stopped", "no time")))
    assert forwarded(station, shared.one).waits == ""
    assert b"T-13" not in station.path.read_bytes()
    assert b"T-31" not in station.path.read_bytes()
    with connected(shared.keeper.address) as keeper:
        assert {run: kept for run, _, kept in keeper.execute(bodies)} == {
            "o1": 1,
            "o2": 1,
            "r1": 0,
            "r2": 20,
        }
        assert [one.events for one in erase_person(keeper, "T-20", "North", "sink 1")] == [20]
    forwarded(station, shared.one)
    assert compare(station.path, shared) == []
    assert wrong(shared, station.path) == []
