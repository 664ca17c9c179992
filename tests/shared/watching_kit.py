"""A station that forwards to a shared record in memory, watched through whatever a test breaks."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from pathlib import Path

import pytest
from memory_kit import ADDRESS, Elsewhere
from record_kit import Station, short_run

from trainer.record.shared import batches, state, watching
from trainer.record.shared import cursor as cursors
from trainer.record.shared.backoff import Backoff
from trainer.record.shared.forwarder import Contact, Forwarder
from trainer.record.shared.watching import watch
from trainer.run.ports import Trouble

Break = Callable[[int], None]
"""Sees to it that the so-many-th call fails."""


class Watched:
    """A station that forwards to memory for as long as a test wants."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.station = Station(folder)
        self.there = Elsewhere()
        self.told: list[Contact | Trouble] = []
        with self.station.open() as journal:
            short_run(self.station, journal, "r0")
        monkeypatch.setattr(watching, "LOOKS_TO_ASK", 1)

    def watch(self, break_it: Callable[[], None], mend: Callable[[], None]) -> list[Trouble]:
        """Watch from the moment that something breaks until a contact went well after it was mended.

        Gives the troubles that were told. Between them whatever was broken is mended.
        """
        self.told.clear()
        waits = 0

        def wait(_: float) -> bool:
            nonlocal waits
            waits += 1
            if waits == 1:
                break_it()
                return False
            mend()
            assert waits < 10, self.told
            return bool(self.told) and isinstance(self.told[-1], Contact)

        forwarder = Forwarder(self.station.path, ADDRESS, self.station.clock)
        watch(self.station.path, forwarder, wait, backoff=Backoff(draw=lambda: 0.0), told=self.told.append)
        return [one for one in self.told if not isinstance(one, Contact)]

    def holds(self) -> None:
        """All is there, each event once and as it is here; the record knows it."""
        with batches.reading(self.station.path) as connection:
            here = {row[0]: row[1] for row in connection.execute("SELECT id, body FROM events")}
            kept = cursors.read(connection)
        assert {ident: one.body for ident, one in self.there.events.items()} == here
        assert kept == self.there.to
        now = state.read(self.station.path)
        assert now is not None
        assert (now.waiting, now.trouble, now.conflicts) == (0, "", 0)

    def each(self, break_at: Break, mend: Callable[[], str]) -> list[str]:
        """Break the first call of a contact, then the second, and so on until none is left.

        Gives what failed. mend: makes it well again, and says what failed ('' where nothing did).
        """
        failed: list[str] = []
        for number in count(1):
            one = f"r{number}"
            with self.station.open() as journal:
                short_run(self.station, journal, one)
            fired = ""

            def mended() -> None:
                nonlocal fired
                fired = fired or mend()

            troubles = self.watch(lambda number=number: break_at(number), mended)  # type: ignore[misc]
            self.holds()
            if not fired:
                return failed
            failed.append(fired)
            assert all(str(told).endswith((".", ")")) and "Traceback" not in str(told) for told in troubles)
        raise AssertionError("There is always a last call.")
