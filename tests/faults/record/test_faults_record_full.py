"""A disk filled to its end: the act in hand is kept in the reserve, later ones refused; freed it goes on."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import cast
from unittest.mock import Mock

import pytest
from history_kit import Witness, summed, wrong_with
from run_kit import RUN_ID, Sink, plan_of
from small_disk import SmallDisk, layered, mounted

from trainer.record import reserve
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.pins import PinCheck
from trainer.record.store import DiskFull, has_room, trouble_of
from trainer.record.verify import verify
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import JournalTrouble
from trainer.run.session import Run


def on_each_disk(folder: Path, check: Callable[[SmallDisk], None]) -> None:
    """Check by the layer, full or beyond a share, and on a mounted disk where this account may mount one."""
    with layered(folder, "full") as disk:
        check(disk)
    with layered(folder, "quota") as disk:
        check(disk)
    with mounted(folder) as real:
        if real is not None:
            check(real)


def _sink(journal: StationJournal, lines: list[str], clock: FakeClock) -> Sink:
    """A run of the test plate, whose promises are written down."""
    plan = plan_of("plate")
    journal.keep_procedure(plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision)
    witness = cast("FakeJournal", Witness(journal, lines.append))
    run = Run.open(
        plan, run=RUN_ID, trainee="T-01", guidance="full", settings={}, journal=witness, clock=clock
    )
    return Sink(plan, run, clock, witness)


def _notes_without_end(sink: Sink) -> None:
    for _ in range(10_000):
        sink.clock.pass_time(1.0)
        sink.run.note("The lamp flickers. " * 20)


def _fill_in_a_run(disk: SmallDisk) -> None:
    record, lines, clock = disk.folder / "record.db", list[str](), FakeClock()
    with StationJournal(record, clock) as journal:
        assert journal.space_trouble == ""
        assert reserve.stands(record)
        sink = _sink(journal, lines, clock)
        disk.fill()
        sink.right()  # the act in hand is kept
        assert not reserve.stands(record)
        assert "Free some space" in journal.space_trouble
        assert str(record) in journal.space_trouble
        before = len(lines)
        with pytest.raises(JournalTrouble, match=r"The disk is full.*Free some space"):
            _notes_without_end(sink)
        assert sum(line.startswith("ack") for line in lines[before:]) > 4  # some room, and then an end of it
        state = sink.run.state
        with pytest.raises(JournalTrouble, match="The disk is full"):
            sink.right()
        assert sink.run.state is state
        disk.free()
        sink.right()  # the same act, now that there is space
        assert sink.run.state is not state
        assert reserve.stands(record)
        assert journal.space_trouble == ""
    assert wrong_with(record, summed(lines)) == []


def test_a_full_disk_keeps_the_act_in_hand_and_goes_on_when_freed(tmp_path: Path) -> None:
    """The last acts go into the room set aside; the next is refused and nothing moves; freed, it is taken."""
    on_each_disk(tmp_path, _fill_in_a_run)


def test_without_the_reserve_the_act_in_hand_is_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sabotage: a reserve that is never given up is seen by the same check, on each disk."""

    def check(disk: SmallDisk) -> None:
        monkeypatch.setattr(reserve, "give_up", lambda _: False)
        with pytest.raises(JournalTrouble, match="The disk is full"):
            _fill_in_a_run(disk)
        disk.free()

    on_each_disk(tmp_path, check)


def _open_when_full(disk: SmallDisk) -> None:
    record, clock = disk.folder / "record.db", FakeClock()
    disk.folder.mkdir(exist_ok=True)
    StationJournal(record, clock).close()
    reserve.path_of(record).unlink()
    disk.fill()
    with StationJournal(record, clock) as journal:
        assert "nearly full" in journal.space_trouble
        assert journal.open_runs() == []
    new = disk.folder / "new" / "record.db"
    with pytest.raises(JournalTrouble, match=r"new/record\.db"):
        StationJournal(new, clock)
    disk.free()
    StationJournal(new, clock).close()
    with StationJournal(record, clock) as journal:
        assert journal.space_trouble == ""


def test_a_full_disk_is_told_when_a_record_is_opened_or_made(tmp_path: Path) -> None:
    """An old record opens and says it; a new one is refused in a sentence, and made once there is space."""
    on_each_disk(tmp_path, _open_when_full)


def _sign_when_full(disk: SmallDisk) -> None:
    record, clock = disk.folder / "record.db", FakeClock()
    disk.folder.mkdir(exist_ok=True)
    with StationJournal(record, clock) as journal:
        People(journal).add("I-1", instructor=True, pin="804215")
        sink = _sink(journal, [], clock)
        disk.fill()
        assert PinCheck(record, clock).check("I-1", "804215").verdict == "right"
        assert not reserve.stands(record)
        sink.right()
        assert "Free some space" in journal.space_trouble
        disk.free()
        sink.right()
        assert journal.space_trouble == ""
    assert verify(record).ok


def test_an_instructor_can_sign_when_the_disk_is_full(tmp_path: Path) -> None:
    """The PIN's try is written into the reserve too, and the next act tells that there is no room left."""
    on_each_disk(tmp_path, _sign_when_full)


def test_without_the_reserve_no_instructor_could_sign(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sabotage: the same check sees a PIN that is refused for want of room."""
    with layered(tmp_path, "full") as disk:
        monkeypatch.setattr(reserve, "give_up", lambda _: False)
        with pytest.raises(JournalTrouble, match="The disk is full"):
            _sign_when_full(disk)


def test_one_more_small_file_tells_whether_there_is_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No space and a used-up share are told from room and from other errors, and nothing is left behind."""
    record = tmp_path / "record.db"
    assert has_room(record)
    assert has_room(tmp_path / "not-there" / "record.db")  # another matter
    before = list(tmp_path.iterdir())
    for number in (errno.ENOSPC, errno.EDQUOT):
        fails = OSError(number, os.strerror(number))
        monkeypatch.setattr(os, "write", Mock(side_effect=fails))
        assert not has_room(record)
        assert isinstance(trouble_of(fails, record), DiskFull)
    assert list(tmp_path.iterdir()) == before
    with mounted(tmp_path) as real:
        monkeypatch.undo()
        if real is not None:
            real.fill()
            assert not has_room(real.folder / "record.db")


def test_the_reserve_is_never_what_fills_a_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With less than twice its size free, no room is set aside."""
    monkeypatch.setattr(shutil, "disk_usage", lambda _: _Free(2 * reserve.SIZE - 1))
    assert not reserve.make(tmp_path / "record.db")
    assert list(tmp_path.iterdir()) == [tmp_path / "home"]
    monkeypatch.setattr(shutil, "disk_usage", lambda _: _Free(2 * reserve.SIZE))
    assert reserve.make(tmp_path / "record.db")
    blocks = reserve.path_of(tmp_path / "record.db").stat().st_blocks * 512
    assert blocks >= reserve.SIZE  # taken from the disk, not only promised


def test_a_reserve_cut_short_is_made_whole(tmp_path: Path) -> None:
    """What a stop in the middle of making it left is not taken for the reserve."""
    record = tmp_path / "record.db"
    reserve.path_of(record).write_bytes(b"short")
    assert not reserve.stands(record)
    assert reserve.make(record)
    assert reserve.stands(record)


class _Free:
    def __init__(self, free: int) -> None:
        self.free = free
