"""PINs: what is taken as one, how wrong tries slow down, and that every try is written down."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest
from record_kit import Station

from trainer.record.people import People
from trainer.record.pins import PinCheck, hashed, pin_fault
from trainer.run.fakes import FakeClock
from trainer.run.ports import JournalTrouble, PinVerdict, SignOff

PIN = "804215"


def _with_instructor(folder: Path) -> Station:
    station = Station(folder)
    with station.open() as journal:
        People(journal).add("I-1", instructor=True, pin=PIN)
        People(journal).add("T-01")
    return station


def _tries(station: Station) -> list[str]:
    with closing(sqlite3.connect(station.path)) as connection:
        return [found for (found,) in connection.execute("SELECT found FROM pin_tries ORDER BY number")]


@pytest.mark.parametrize(
    "pin",
    [
        *("", "1", "12345", "1234567", "000000", "999999", "123456", "654321", "012345", "135791"),
        *("121212", "112211", "123123", "246802", "abba", "short words", "aaaaaaaaaaaaaa", "abababababab"),
        *("x" * 129, "the gum is\x1b still wet", "the gum is\ud800 still wet"),
    ],
)
def test_an_easy_pin_is_refused_in_a_sentence(pin: str) -> None:
    """Too short or long, few digits, repeated, mirrored and counting ones, odd characters: each is told."""
    assert pin_fault(pin).endswith(".")
    with pytest.raises(JournalTrouble):
        hashed(pin)


@pytest.mark.parametrize("pin", [PIN, "902117", "the gum is still wet", "\u00e9toile du soir"])
def test_a_good_pin_or_phrase_is_taken(pin: str) -> None:
    """Six digits without a pattern, and a phrase of twelve letters, are taken."""
    assert pin_fault(pin) == ""


@pytest.mark.usefixtures("real_pins")
def test_a_pin_is_kept_as_argon2id_with_the_recommended_parameters(tmp_path: Path) -> None:
    """The stored text is an argon2id hash, 64 MiB, 3 passes, 4 lanes: RFC 9106, section 4, second option."""
    station = _with_instructor(tmp_path)
    with closing(sqlite3.connect(station.path)) as connection:
        (kept,) = connection.execute("SELECT pin FROM people WHERE code = 'I-1'").fetchone()
    assert kept.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
    assert PIN.encode() not in station.path.read_bytes()


@pytest.mark.usefixtures("real_pins")
def test_the_right_pin_is_right_and_a_wrong_one_wrong(tmp_path: Path) -> None:
    """Right, wrong, unknown code and a trainee's code each get their verdict, and each is written down."""
    station = _with_instructor(tmp_path)
    check: SignOff = PinCheck(station.path, station.clock)
    verdicts = [
        check.check(*one).verdict for one in (("I-1", PIN), ("i-1 ", "804216"), ("I-9", PIN), ("T-01", PIN))
    ]
    assert verdicts == ["right", "wrong_pin", "unknown", "unknown"]
    assert _tries(station) == verdicts


@pytest.mark.parametrize("typed", ["", "x" * 100_000, "\x00", "\u202e804215", "\ud800"])
def test_odd_input_is_a_wrong_pin_and_no_error(tmp_path: Path, typed: str) -> None:
    """An empty, huge or unencodable try is a wrong PIN."""
    station = _with_instructor(tmp_path)
    assert PinCheck(station.path, station.clock).check("I-1", typed).verdict == "wrong_pin"


def test_a_phrase_is_the_same_however_it_is_composed(tmp_path: Path) -> None:
    """A phrase set with composed letters is right when typed with combining ones."""
    station = Station(tmp_path)
    with station.open() as journal:
        People(journal).add("I-1", instructor=True, pin="\u00e9toile du soir")
    assert PinCheck(station.path, station.clock).check("I-1", "e\u0301toile du soir") == PinVerdict("right")


def _wrong(station: Station, times: int) -> list[PinVerdict]:
    check = PinCheck(station.path, station.clock)
    return [check.check("I-1", "111111") for _ in range(times)]


def test_after_five_wrong_tries_even_the_right_one_waits(tmp_path: Path) -> None:
    """After five wrong tries any is too soon for 30 s, and not counted; then the right one is right."""
    station = _with_instructor(tmp_path)
    assert [verdict.wait for verdict in _wrong(station, 5)] == [0, 0, 0, 0, 30]
    check = PinCheck(station.path, station.clock)
    station.clock.pass_time(29)
    assert check.check("I-1", PIN) == PinVerdict("too_soon", 1.0)
    station.clock.pass_time(1)
    assert check.check("I-1", PIN) == PinVerdict("right")
    assert _tries(station) == ["wrong_pin"] * 5 + ["too_soon", "right"]
    assert [verdict.wait for verdict in _wrong(station, 4)] == [0, 0, 0, 0]


def test_waits_double_up_to_a_quarter_of_an_hour(tmp_path: Path) -> None:
    """Each further wrong try doubles the wait: 30 s, 60 s, up to 900 s and no more."""
    station = _with_instructor(tmp_path)
    _wrong(station, 4)
    waits = []
    for _ in range(8):
        (verdict,) = _wrong(station, 1)
        waits.append(verdict.wait)
        station.clock.pass_time(verdict.wait)
    assert waits == [30, 60, 120, 240, 480, 900, 900, 900]


def test_the_slowing_down_lives_through_restarts_and_set_clocks(tmp_path: Path) -> None:
    """Neither a new program, nor a wall clock put forward or back, nor a reboot shortens the wait."""
    station = _with_instructor(tmp_path)
    _wrong(station, 5)
    station.clock.jump_wall(86_400)
    assert PinCheck(station.path, station.clock).check("I-1", PIN).verdict == "too_soon"
    station.clock.jump_wall(-2 * 86_400)
    assert PinCheck(station.path, station.clock).check("I-1", PIN).verdict == "too_soon"
    station.clock.reboot(down_seconds=5)
    assert PinCheck(station.path, station.clock).check("I-1", PIN) == PinVerdict("too_soon", 20.0)
    station.clock.pass_time(20)
    assert PinCheck(station.path, station.clock).check("I-1", PIN).verdict == "right"


def test_a_clock_put_forward_over_a_reboot_shortens_no_wait(tmp_path: Path) -> None:
    """A reboot with the wall clock two days on: only the seconds since the reboot count."""
    station = _with_instructor(tmp_path)
    _wrong(station, 5)
    station.clock.jump_wall(2 * 86_400)
    station.clock.reboot(down_seconds=5)
    assert PinCheck(station.path, station.clock).check("I-1", PIN) == PinVerdict("too_soon", 20.0)


def test_a_machine_without_an_id_of_its_restarts_shortens_no_wait(tmp_path: Path) -> None:
    """Where each start of the program looks like a restart of a machine long up, the wall clock counts."""
    station = _with_instructor(tmp_path)
    _wrong(station, 5)
    later = FakeClock("2026-03-02T09:00:12.000Z", boot="another", ticks_ms=5_000_000)
    assert PinCheck(station.path, later).check("I-1", PIN).verdict == "too_soon"


def test_a_new_pin_ends_the_waiting(tmp_path: Path) -> None:
    """Setting the PIN anew takes at once, the old one is wrong, and wrong tries count from nothing."""
    station = _with_instructor(tmp_path)
    _wrong(station, 7)
    with station.open() as journal:
        People(journal).set_pin("I-1", "730519")
        with pytest.raises(JournalTrouble, match="only an instructor has a PIN"):
            People(journal).set_pin("T-01", "730519")
    check = PinCheck(station.path, station.clock)
    assert check.check("I-1", "730519").verdict == "right"
    assert check.check("I-1", PIN) == PinVerdict("wrong_pin", 0.0)


def test_a_try_is_written_down_before_it_is_looked_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program that dies while it looks at a PIN leaves a wrong try behind."""
    station = _with_instructor(tmp_path)

    class Died(BaseException):
        pass

    def die(_kept: str, _pin: str) -> bool:
        raise Died

    monkeypatch.setattr("trainer.record.pins._fits", die)
    with pytest.raises(Died):
        PinCheck(station.path, station.clock).check("I-1", PIN)
    assert _tries(station) == ["wrong_pin"]


def test_a_check_runs_in_another_thread_while_the_journal_is_open(tmp_path: Path) -> None:
    """The check has a connection of its own and works from a thread beside an open journal."""
    station = _with_instructor(tmp_path)
    verdicts: list[PinVerdict] = []
    with station.open():
        check = PinCheck(station.path, station.clock)
        thread = threading.Thread(target=lambda: verdicts.append(check.check("I-1", PIN)))
        thread.start()
        thread.join()
    assert verdicts == [PinVerdict("right")]


def test_no_record_is_told(tmp_path: Path) -> None:
    """A check against a record that is not there is a trouble in a sentence."""
    with pytest.raises(JournalTrouble, match="There is no record"):
        PinCheck(tmp_path / "record.db", Station(tmp_path).clock).check("I-1", PIN)
