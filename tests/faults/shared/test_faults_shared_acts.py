"""Forwarding never holds an act up: wherever it waits for the other side, the record is free."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from sqlite3 import Connection
from typing import Any, Self, TypeVar

import psycopg
import pytest
from forwarding_kit import compare
from memory_kit import ADDRESS, Elsewhere, forwarding_to
from postgres_kit import Postgres
from record_kit import SHORT_RUN, Station, opened, short_run
from shared_kit import Shared, running, shared

from trainer.record import store
from trainer.record.shared import batches, forwarder
from trainer.record.shared.batches import next_batch
from trainer.record.shared.forwarder import Forwarder
from trainer.run.ports import JournalTrouble

__all__ = ["shared"]
T = TypeVar("T")


@pytest.fixture
def server() -> Postgres:
    """The server of this process."""
    return running()


@pytest.fixture
def station(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Station:
    """A station that sends five events at a time, where nobody waits for a lock, not for a moment."""
    monkeypatch.setattr(store, "BUSY_SECONDS", 0.0)
    monkeypatch.setattr(forwarder, "next_batch", partial(next_batch, most=5))
    station = Station(tmp_path)
    with station.open() as journal:
        for number in range(8):  # a piece takes in the rest of its runs: a piece each, at least
            short_run(station, journal, f"r{number}", f"T-0{number}")
    return station


@contextmanager
def acts_of(station: Station) -> Iterator[Callable[[], None]]:
    """One more act of an open run at each call: durable when it returns, or JournalTrouble."""
    with station.open() as journal:
        station.keep(journal, "open", (None, opened("T-09")))

        def act() -> None:
            step = SHORT_RUN[1 + len(station.kept["open"]) % 10]
            station.keep(journal, "open", step)

        yield act


def test_an_act_is_kept_wherever_the_forwarder_waits(station: Station) -> None:
    """At each call over the line: the act is durable without a wait, and the contact goes on."""
    there = Elsewhere()
    calls: list[str] = []
    with forwarding_to(there), acts_of(station) as act:

        def still(call: str) -> None:
            calls.append(call)
            if len(calls) < 40:  # else there is always something left to send
                act()

        there.still = still
        Forwarder(station.path, ADDRESS, station.clock, most=1).contact()
    assert {"connect", "who is there", "contact", "requests", "cursor", "keep"} < set(calls)
    assert calls.count("keep") > 5
    assert len(station.kept["open"]) == 1 + min(len(calls), 39)
    there.still = lambda _: None
    with forwarding_to(there):
        Forwarder(station.path, ADDRESS, station.clock).contact()
    assert set(there.events) == {event.id for run in station.kept.values() for event in run}


def test_a_forwarder_that_reads_on_while_it_waits_is_found_out(
    station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: a read that is not ended before the other side is asked makes the act fail."""

    @contextmanager
    def open_ended(connection: Connection) -> Iterator[None]:
        if not connection.in_transaction:
            connection.execute("BEGIN")
        yield

    monkeypatch.setattr(forwarder, "moment", open_ended)
    monkeypatch.setattr(batches, "moment", open_ended)
    there = Elsewhere()
    with forwarding_to(there), acts_of(station) as act:
        there.still = lambda call: act() if call == "keep" else None
        one = Forwarder(station.path, ADDRESS, station.clock, most=1)
        with pytest.raises(JournalTrouble, match="in use"):
            one.contact()


class Inline:
    """In place of an executor: what is read aside is read at once, so that a test knows when."""

    def __init__(self, *_: object) -> None:
        pass

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def submit(self, work: Callable[[], T]) -> Future[T]:
        """Do it."""
        done: Future[T] = Future()
        done.set_result(work())
        return done


@pytest.mark.long(seconds=3)
def test_an_act_is_kept_at_every_wait_for_a_real_server(
    station: Station, shared: Shared, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every single time that the driver waits for the server, inside a COPY too."""
    monkeypatch.setattr(forwarder, "ThreadPoolExecutor", Inline)
    real = psycopg.Connection.wait
    waits = 0
    with acts_of(station) as act:

        def wait(self: psycopg.Connection[Any], gen: Generator[Any, Any, T], *more: float) -> T:
            nonlocal waits
            waits += 1
            if waits < 100:  # else there is always something left to send
                act()
            return real(self, gen, *more)

        monkeypatch.setattr(psycopg.Connection, "wait", wait)
        Forwarder(station.path, shared.one.address, station.clock, most=1).contact()
        monkeypatch.setattr(psycopg.Connection, "wait", real)
    assert waits > 60
    assert len(station.kept["open"]) == 1 + min(waits, 99)
    Forwarder(station.path, shared.one.address, station.clock).contact()
    assert compare(station.path, shared) == []
