"""Any call of the forwarder fails, here or there: it tells of it, tries again, and loses nothing."""

from __future__ import annotations

import errno
import fcntl
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

import psycopg
import pytest
from memory_kit import ADDRESS, Counted, forwarding_to, refusing, sqlite_error
from watching_kit import Watched

from trainer.record.shared.backoff import Backoff
from trainer.record.shared.forwarder import Contact, Forwarder
from trainer.record.shared.one_at_a_time import path_of
from trainer.record.shared.watching import watch
from trainer.run.ports import Trouble


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Watched:
    """A station with one run that waits to be sent."""
    return Watched(tmp_path, monkeypatch)


SAID = [
    (sqlite3.SQLITE_FULL, "database or disk is full"),
    (sqlite3.SQLITE_IOERR_WRITE, "disk I/O error"),
    (sqlite3.SQLITE_CANTOPEN, "unable to open database file"),
    (sqlite3.SQLITE_READONLY, "attempt to write a readonly database"),
    (sqlite3.SQLITE_BUSY, "database is locked"),
    (sqlite3.SQLITE_NOMEM, "out of memory"),
    (0, "what nobody foresaw"),
]
"""Codes and words of SQLite (its result codes, sqlite.org/rescode.html); the last is invented."""


@pytest.mark.parametrize(("code", "words"), SAID, ids=[words for _, words in SAID])
@pytest.mark.sweep(quick=1)
def test_no_statement_that_fails_ends_the_forwarding(bench: Watched, code: int, words: str) -> None:
    """Whichever statement, or opening, of a contact fails in the record."""
    calls = Counted()
    error = sqlite_error(code, words)

    def mend() -> str:
        fired, calls.fired = calls.fired, ""
        calls.break_at(0, error)
        return fired

    with forwarding_to(bench.there), refusing(calls):
        failed = bench.each(lambda call: calls.break_at(call, error), mend)
    assert {"open", "BEGIN", "BEGIN IMMEDIATE", "COMMIT"} <= set(failed)
    assert any("INTO about" in one for one in failed)
    assert len(failed) > 40


THERE: list[Callable[[], Exception]] = [
    lambda: psycopg.OperationalError("the connection is lost"),
    lambda: psycopg.errors.DiskFull("could not extend file"),
    lambda: psycopg.errors.AdminShutdown("terminating connection"),
    lambda: psycopg.InterfaceError("the connection is closed"),
    lambda: psycopg.Error("what nobody foresaw"),
    lambda: OSError(errno.ENOSPC, "No space left on device"),
    lambda: BrokenPipeError(errno.EPIPE, "Broken pipe"),
    lambda: UnicodeDecodeError("utf-8", b"\xff", 0, 1, "invalid start byte"),
]


@pytest.mark.parametrize("late", [False, True], ids=["not done", "done and not told"])
@pytest.mark.parametrize("error", THERE, ids=lambda made: type(made()).__name__)
@pytest.mark.sweep(quick=4)
def test_no_call_over_the_line_that_fails_ends_the_forwarding(
    bench: Watched, error: Callable[[], Exception], late: bool
) -> None:
    """Whichever question to the shared record fails, before it is carried out there or after."""
    calls = bench.there.calls

    def mend() -> str:
        fired, calls.fired = calls.fired, ""
        calls.break_at(0, error)
        return fired

    with forwarding_to(bench.there):
        failed = bench.each(lambda call: calls.break_at(call, error, late=late), mend)
    calls_in_turn = ["connect", "who is there", "contact", "requests", "cursor", "keep", "contact"]
    assert failed == [*calls_in_turn, "open conflicts"]


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EMFILE, errno.EACCES, errno.EIO])
def test_a_lock_file_that_cannot_be_opened_is_told(
    bench: Watched, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """The file beside the record that keeps forwarders apart: no room for it, no right to it, no handle."""
    real = os.open

    def refused(path: str | Path, *how: int) -> int:
        if path == path_of(bench.station.path):
            raise OSError(number, os.strerror(number), str(path))
        return real(path, *how)

    with forwarding_to(bench.there):
        troubles = bench.watch(lambda: monkeypatch.setattr(os, "open", refused), monkeypatch.undo)
    assert len(troubles) == 1
    assert str(path_of(bench.station.path)) in str(troubles[0])
    bench.holds()


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EIO])
def test_a_lock_that_cannot_be_had_is_told(
    bench: Watched, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """The system has no lock to give: that is no other forwarder."""

    def refused(*_: int) -> None:
        raise OSError(number, os.strerror(number))

    with forwarding_to(bench.there):
        troubles = bench.watch(lambda: monkeypatch.setattr(fcntl, "flock", refused), monkeypatch.undo)
    assert len(troubles) == 1
    assert os.strerror(number) in str(troubles[0])
    bench.holds()


def test_a_log_that_cannot_be_written_ends_nothing(bench: Watched) -> None:
    """Where troubles are told lies on the full disk itself: the next contact is made all the same."""

    def told(came: Contact | Trouble) -> None:
        bench.told.append(came)
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    bench.there.calls.break_at(1, lambda: psycopg.OperationalError("no network"))
    with forwarding_to(bench.there):
        watch(
            bench.station.path,
            Forwarder(bench.station.path, ADDRESS, bench.station.clock),
            lambda _: len(bench.told) == 2,
            backoff=Backoff(draw=lambda: 0.0),
            told=told,
        )
    assert [type(one).__name__ for one in bench.told] == ["Unreachable", "Contact"]
    bench.holds()


def test_a_forwarder_that_lets_a_raw_error_out_is_found_out(
    bench: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: without the sentence for what nobody foresaw, the same check sees the thread die."""
    monkeypatch.setattr(Forwarder, "contact", lambda self: self._contact(lambda _: None))
    bench.there.calls.break_at(1, lambda: psycopg.Error("what nobody foresaw"))
    with forwarding_to(bench.there), pytest.raises(psycopg.Error):
        bench.watch(lambda: None, lambda: None)
