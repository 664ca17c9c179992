"""The end of a program waits for no name, no lock and no thread of its forwarding; one forwards at a time."""

from __future__ import annotations

import errno
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, wait
from pathlib import Path
from types import ModuleType

import pytest
from memory_kit import Elsewhere, forwarding_to
from record_kit import Station, station_with_a_run

from trainer.record.shared import address as addresses
from trainer.record.shared.address import SharedAddress, parse_address
from trainer.record.shared.aside import aside
from trainer.record.shared.forwarder import Forwarder, Stopped
from trainer.record.shared.host_names import with_addresses
from trainer.record.shared.one_at_a_time import AnotherForwards, alone
from trainer.record.shared.troubles import SharedTrouble, Unreachable
from trainer.run.ports import JournalTrouble
from trainer.screens import forwarding as screens
from trainer.screens.forwarding import END_SECONDS, Forwarding

ADDRESS = "postgresql://nobody@record.invalid/school?sslmode=disable"
"""A name that no server has (RFC 2606, section 2)."""


class Resolver:
    """Looks up names for as long as a test wants."""

    def __init__(self) -> None:
        self.asked: list[object] = []
        self.reached = threading.Event()
        self._over = threading.Event()

    def __call__(self, host: object, *_: object, **__: object) -> list[object]:
        """In place of `socket.getaddrinfo`: no answer, and then none."""
        self.asked.append(host)
        self.reached.set()
        self._over.wait()
        raise socket.gaierror(socket.EAI_AGAIN, "Temporary failure in name resolution")

    def give_up(self) -> None:
        """Let go who waits."""
        self._over.set()


@pytest.fixture
def resolver(monkeypatch: pytest.MonkeyPatch) -> Iterator[Resolver]:
    """One that answers nobody before the test is over."""
    silent = Resolver()
    monkeypatch.setattr(socket, "getaddrinfo", silent)
    yield silent
    silent.give_up()


@pytest.fixture
def station(tmp_path: Path) -> Station:
    """A station with a short run."""
    return station_with_a_run(tmp_path)


def took(work: Callable[[], object]) -> float:
    """Seconds."""
    begun = time.monotonic()
    work()
    return time.monotonic() - begun


def test_the_end_of_the_app_waits_for_no_name(
    station: Station, monkeypatch: pytest.MonkeyPatch, resolver: Resolver
) -> None:
    """A resolver that never answers: the forwarder is let go at once, and its thread ends."""
    monkeypatch.setenv("SINKSIDE_SHARED", ADDRESS)
    forwarding = Forwarding(station.path, station.clock)
    forwarding.begin()
    assert resolver.reached.wait(20)
    assert took(forwarding.end) < END_SECONDS
    assert not [one for one in threading.enumerate() if one.name == "sinkside-forwarding"]


def test_the_end_of_the_app_leaves_a_thread_behind_that_does_not_come_back(
    station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever holds it: the end waits so long, and no longer."""
    held, over = threading.Event(), threading.Event()

    def find(_: Path) -> SharedAddress | None:
        held.set()
        over.wait()
        return None

    monkeypatch.setenv("SINKSIDE_SHARED", ADDRESS)
    monkeypatch.setattr(addresses, "find_address", find)
    monkeypatch.setattr(screens, "END_SECONDS", 0.05)
    forwarding = Forwarding(station.path, station.clock)
    forwarding.begin()
    assert held.wait(20)
    assert took(forwarding.end) < END_SECONDS
    over.set()


def test_the_interpreter_ends_over_a_thread_that_is_left_behind() -> None:
    """A program whose forwarding waits for ever ends all the same, with its own exit code."""
    program = (
        "import sys, threading\n"
        "from trainer.record.shared.aside import aside\n"
        "aside(threading.Event().wait, 'left')\n"
        "sys.exit(3)\n"
    )
    assert subprocess.run([sys.executable, "-c", program], timeout=30, check=False).returncode == 3


def test_what_work_aside_raises_is_told_to_whoever_asks() -> None:
    """Its result, or its error, whatever it is."""
    assert aside(lambda: 5, "five").result(20) == 5

    def fails() -> None:
        raise KeyError("nobody foresaw that")

    with pytest.raises(KeyError, match="foresaw"):
        aside(fails, "fails").result(20)


def test_what_nobody_foresaw_is_raised_at_the_end(station: Station, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the program in the thread is not swallowed with it; the screen says meanwhile what waits."""

    def find(_: Path) -> SharedAddress | None:
        raise KeyError("nobody foresaw that")

    monkeypatch.setenv("SINKSIDE_SHARED", ADDRESS)
    monkeypatch.setattr(addresses, "find_address", find)
    forwarding = Forwarding(station.path, station.clock)
    forwarding.begin()
    assert forwarding._work is not None
    wait([forwarding._work], 20)
    assert forwarding.line().startswith("Shared record: not reached.")
    with pytest.raises(KeyError, match="foresaw"):
        forwarding.end()


def test_an_address_that_cannot_be_read_now_is_asked_for_again(
    station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The credential's file, or the record, is in somebody's hands at the start: the thread does not end."""
    tries: list[Path] = []
    there = Elsewhere()

    def find(record: Path) -> SharedAddress | None:
        tries.append(record)
        if len(tries) == 1:
            raise SharedTrouble("The file shared.conf cannot be read: Input/output error.")
        return parse_address("postgresql://nobody@127.0.0.1/school", source="the test")

    monkeypatch.setenv("SINKSIDE_SHARED", ADDRESS)
    monkeypatch.setattr(addresses, "find_address", find)
    monkeypatch.setattr("trainer.record.shared.backoff.FIRST_SECONDS", 0.0)
    monkeypatch.setattr("random.random", lambda: 0.0)
    arrived = threading.Event()
    there.still = lambda call: arrived.set() if call == "keep" else None
    with forwarding_to(there):
        forwarding = Forwarding(station.path, station.clock)
        forwarding.begin()
        assert arrived.wait(20)
        forwarding.end()
    assert len(tries) == 2
    assert len(there.events) == 19


def test_a_signal_may_ask_to_stop_in_any_moment(station: Station) -> None:
    """Its handler runs in the very thread that forwards, be it where the connection is taken note of."""
    forwarder = Forwarder(station.path, parse_address(ADDRESS, source="the test"), station.clock)

    def interrupted() -> None:
        with forwarder._line_lock:
            forwarder.stop()

    aside(interrupted, "interrupted").result(20)


def test_a_name_is_waited_for_as_long_as_a_connection(station: Station, resolver: Resolver) -> None:
    """It is unreachable then, in a sentence; the next try asks nobody else, while the first still waits."""
    address = parse_address(f"{ADDRESS}&connect_timeout=1", source="the test")
    forwarder = Forwarder(station.path, address, station.clock)
    with pytest.raises(Unreachable, match=r"within 1 seconds where record\.invalid is.*tried again"):
        forwarder.contact()
    forwarder.stop()
    with pytest.raises(Stopped):
        forwarder.contact()
    assert resolver.asked == ["record.invalid"]


def answers(host: str, *_: object, **__: object) -> list[tuple[object, ...]]:
    """In place of `socket.getaddrinfo`: one name has two addresses, one has one, any other none."""
    known = {"one.invalid": ["192.0.2.1", "2001:db8::1"], "two.invalid": ["192.0.2.2"]}
    if host == ".." or host not in known:
        raise UnicodeError("label empty") if host == ".." else socket.gaierror(socket.EAI_NONAME, "no")
    return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (one, 0)) for one in known[host]]


@pytest.mark.parametrize(
    ("given", "found"),
    [
        ({"host": "one.invalid"}, ("one.invalid,one.invalid", "192.0.2.1,2001:db8::1", "5432,5432")),
        (
            {"host": "two.invalid,127.0.0.1,/run", "port": "1,2,3"},
            ("two.invalid,127.0.0.1,/run", "192.0.2.2,,", "1,2,3"),
        ),
        ({"host": "two.invalid,nobody.invalid", "port": "7"}, ("two.invalid", "192.0.2.2", "7")),
        ({"host": "127.0.0.1"}, ("127.0.0.1", None, None)),
        ({"host": "one.invalid", "hostaddr": "192.0.2.9"}, ("one.invalid", "192.0.2.9", None)),
        ({"host": "/run"}, ("/run", None, None)),
        ({"host": "one.invalid", "port": "1,2"}, ("one.invalid", None, "1,2")),
        ({}, (None, None, None)),
    ],
)
def test_names_become_addresses_and_stay_beside_them(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, str], found: tuple[str | None, ...]
) -> None:
    """As libpq has lists of them (PostgreSQL manual, section 34.1.1.3). Addresses: RFC 5737 and RFC 3849."""
    monkeypatch.setattr(socket, "getaddrinfo", answers)
    for name in ("PGHOST", "PGHOSTADDR", "PGPORT"):
        monkeypatch.delenv(name, raising=False)
    settings = with_addresses(given, 20, Future())
    assert tuple(settings.get(name) for name in ("host", "hostaddr", "port")) == found


@pytest.mark.parametrize("host", ["nobody.invalid", "..", "\x1b[31mred"])
def test_a_name_that_nobody_has_is_told(monkeypatch: pytest.MonkeyPatch, host: str) -> None:
    """Also one that can be nobody's, at which the look-up has an error of another kind; as mere text."""
    monkeypatch.setattr(socket, "getaddrinfo", answers)
    with pytest.raises(Unreachable, match="No server is called") as told:
        with_addresses({"host": host}, 20, Future())
    assert "\x1b" not in str(told.value)


class Windows(ModuleType):
    """In place of `msvcrt`: locks by file, and its own words for one that is held."""

    LK_NBLCK = 2

    def __init__(self, number: int = errno.EACCES) -> None:
        super().__init__("msvcrt")
        self.held = False
        self.asked: list[tuple[int, int]] = []
        self._number = number

    def locking(self, handle: int, mode: int, count: int) -> None:
        """Lock; the handle is a real one."""
        assert handle > 2
        self.asked.append((mode, count))
        if self.held:
            raise OSError(self._number, "Permission denied")
        self.held = True


@pytest.mark.parametrize("number", [errno.EACCES, errno.EDEADLK])
def test_one_forwards_at_a_time_where_locks_are_of_another_kind(
    station: Station, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """A system without `fcntl` has `msvcrt.locking` (Python's manual): one byte, waiting for nobody."""
    windows = Windows(number)
    monkeypatch.setitem(sys.modules, "fcntl", None)
    monkeypatch.setitem(sys.modules, "msvcrt", windows)
    with alone(station.path), pytest.raises(AnotherForwards), alone(station.path):
        pass
    assert windows.asked == [(Windows.LK_NBLCK, 1)] * 2
    windows.held = False
    with alone(station.path):
        pass


def test_a_lock_of_that_kind_that_cannot_be_had_is_told(
    station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Any other error of it is no other forwarder."""
    windows = Windows(errno.EIO)
    windows.held = True
    monkeypatch.setitem(sys.modules, "fcntl", None)
    monkeypatch.setitem(sys.modules, "msvcrt", windows)
    with pytest.raises(JournalTrouble, match="cannot be used"), alone(station.path):
        pass
