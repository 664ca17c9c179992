"""PINs under attack: tried in a burst, at many terminals at once, with patience, on a failing disk."""

from __future__ import annotations

import sqlite3
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from itertools import count
from pathlib import Path
from unittest.mock import patch

import pytest
from faulty_disk import Disk, Fault, faulty
from record_kit import Station

from trainer.record import pins, store
from trainer.record.people import People
from trainer.record.pins import PinCheck
from trainer.run.ports import JournalTrouble

PIN = "804215"


@pytest.fixture
def station(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Station:
    """A record with one instructor, its disk not waited for: no power goes in these tests."""
    modes = store._set_modes

    def hasty(connection: sqlite3.Connection) -> None:
        modes(connection)
        connection.execute("PRAGMA synchronous = OFF")

    monkeypatch.setattr(store, "_set_modes", hasty)
    made = Station(tmp_path)
    with made.open() as journal:
        People(journal).add("I-1", instructor=True, pin=PIN)
    return made


@contextmanager
def _looked_at() -> Iterator[list[str]]:
    """The tries that are held against the kept hash; at once, since the real look takes its time."""
    tries: list[str] = []

    def fits(_kept: str, pin: str) -> bool:
        tries.append(pin)
        return pin == PIN

    with patch.object(pins, "_fits", fits):
        yield tries


def _written_down(station: Station) -> Counter[str]:
    """How often each verdict stands in the list of tries."""
    with closing(sqlite3.connect(station.path)) as connection:
        return Counter(found for (found,) in connection.execute("SELECT found FROM pin_tries"))


def _burst(station: Station, tries: int) -> Counter[str]:
    """Guesses one after another, each by a program of its own; the right PIN is the last but one."""
    guesses = [f"{number:06}" for number in range(tries)]
    guesses[-2] = PIN
    return Counter(PinCheck(station.path, station.clock).check("I-1", guess).verdict for guess in guesses)


def _check_burst(station: Station, tries: int) -> None:
    with _looked_at() as looked_at:
        verdicts = _burst(station, tries)
    assert verdicts == {"wrong_pin": 5, "too_soon": tries - 5}
    assert PIN not in looked_at
    assert _written_down(station) == verdicts


def test_a_hundred_guesses_in_a_burst_do_not_get_in(station: Station) -> None:
    """Five are looked at, the others come too soon, the right one among them; each is written down."""
    _check_burst(station, 100)


@pytest.mark.long(seconds=18)
def test_ten_thousand_guesses_in_a_burst_do_not_get_in(station: Station) -> None:
    """The same with ten thousand."""
    _check_burst(station, 10_000)


@pytest.mark.parametrize(
    ("name", "sabotage"), [("_wait", lambda *_: 0.0), ("_note", lambda *_: 0)], ids=["no wait", "no list"]
)
def test_tries_that_are_not_slowed_are_found_out(
    station: Station, monkeypatch: pytest.MonkeyPatch, name: str, sabotage: Callable[..., object]
) -> None:
    """Sabotage: without the wait, and without the list of tries, the same burst gets in."""
    monkeypatch.setattr(pins, name, sabotage)
    with pytest.raises(AssertionError):
        _check_burst(station, 20)


@pytest.mark.long
def test_a_thousand_patient_guesses_take_more_than_ten_days(station: Station) -> None:
    """Who waits as long as told each time needs ten days for a thousand guesses, a hundred for ten thousand.

    The bound is arithmetic from the rule: (1,000 - 10) * 900 s.
    """
    check, waited = PinCheck(station.path, station.clock), 0.0
    with _looked_at() as looked_at:
        for number in range(1_000):
            verdict = check.check("I-1", f"{number:06}")
            assert verdict.verdict == "wrong_pin"
            station.clock.pass_time(verdict.wait)
            waited += verdict.wait
        assert len(looked_at) == 1_000
        assert check.check("I-1", PIN).verdict == "right"  # the instructor's own is not shut out for ever
    assert waited > 990 * 900 > 10 * 86_400
    assert _written_down(station) == {"wrong_pin": 1_000, "right": 1}


def test_guesses_at_many_terminals_at_once_are_counted_together(station: Station) -> None:
    """Eight terminals guess at the same moment, four times each: five of all are looked at."""
    start = threading.Barrier(8)

    def guess(terminal: int) -> None:
        start.wait()
        for number in range(4):
            PinCheck(station.path, station.clock).check("I-1", f"{terminal}{number}0042")

    with _looked_at() as looked_at:
        terminals = [threading.Thread(target=guess, args=(number,)) for number in range(8)]
        for terminal in terminals:
            terminal.start()
        for terminal in terminals:
            terminal.join()
    assert len(looked_at) == 5
    assert _written_down(station) == {"wrong_pin": 5, "too_soon": 27}


def _refused(check: PinCheck) -> str:
    """Try the right PIN: what was said where it could not be looked at, else nothing."""
    try:
        verdict = check.check("I-1", PIN).verdict
    except JournalTrouble as trouble:
        return str(trouble)
    assert verdict == "right"
    return ""


@pytest.mark.parametrize("kind", ["io", "busy"])
def test_a_disk_that_fails_in_a_try_lets_nobody_in_uncounted(station: Station, kind: str) -> None:
    """Whichever call fails: a sentence, and what was looked at is written down; mended, the PIN is right."""
    disk, fault = Disk(), Fault("busy" if kind == "busy" else "io", lasting=True)
    with _looked_at() as looked_at, faulty(disk):
        check = PinCheck(station.path, station.clock)
        for call in count(1):
            disk.break_at(fault, call)
            said = _refused(check)
            disk.mend()
            if not said:
                break
            assert said.endswith(".")
            assert _written_down(station)["wrong_pin"] >= len(looked_at)
            with station.open() as journal, journal.changing() as (connection, _, now):
                pins.note_reset(connection, "I-1", now)  # tries are counted from nothing again
    assert call > 5
    assert _written_down(station)["right"] == 1
