"""The disk is full, at the station or at the server: nothing acknowledged is lost, all arrives in the end."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from sqlite3 import connect

import pytest
from forwarding_kit import compare, wrong
from postgres_kit import NoPostgres, Postgres, or_skip
from shared_kit import made
from stations_kit import StationAtWork

pytestmark = pytest.mark.long(seconds=15)
MB = 1024 * 1024
ROOM = 3 * MB // 2
"""For some half of 3,000 events; a quarter of a megabyte of it is set aside beside the record."""


class SmallDisk:
    """A file system of its own in memory."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._filling = folder / "filling"

    def fill(self, leave: int = 0) -> None:
        """Leave not a byte, or so many."""
        handle = os.open(self._filling, os.O_CREAT | os.O_WRONLY | os.O_APPEND)
        try:
            for size in (MB, 4096, 1):
                with suppress(OSError):
                    while os.write(handle, b"\0" * size):
                        pass
            os.ftruncate(handle, os.fstat(handle).st_size - leave)
        finally:
            os.close(handle)

    def free(self) -> None:
        """Take the filling away."""
        self._filling.unlink()


@contextmanager
def small_disk(folder: Path, size: int) -> Iterator[SmallDisk]:
    """One, where this account may mount it; the test is skipped else."""
    folder.mkdir(parents=True)
    tool = shutil.which("mount") or ""
    asked = [tool, "-t", "tmpfs", "-o", f"size={size},mode=755", "tmpfs", str(folder)]
    if not tool or subprocess.run(asked, capture_output=True, check=False).returncode:
        pytest.skip("No file system can be mounted by this account.")
    try:
        yield SmallDisk(folder)
    finally:
        subprocess.run(["umount", str(folder)], check=True)


@contextmanager
def server_at(folder: Path | None = None) -> Iterator[Postgres]:
    """A server, its data where it is told."""
    try:
        with Postgres(folder=folder) as server:
            yield server
    except NoPostgres as reason:
        or_skip(reason)


def _hold(station: StationAtWork) -> None:
    record = connect(station.record)
    kept = {ident for (ident,) in record.execute("SELECT id FROM events")}
    record.close()
    assert len(kept) == station.events
    assert kept.issuperset(station.acked)


def test_a_full_disk_at_the_station_loses_nothing(tmp_path: Path) -> None:
    """Appends are refused while it is full, and go on afterwards; what was kept is forwarded."""
    with server_at() as server, small_disk(tmp_path / "disk", 16 * MB) as disk:
        shared = made(server)
        station = StationAtWork(
            disk.folder / "one", shared.one, server.port, shared.database, 0, 10, notes=tmp_path / "said"
        )
        station.write_work(3000)
        disk.fill(leave=ROOM)  # it is full in the middle of the work, however fast that is
        try:
            station.start()
            assert station.wait_for(lambda: "disk is full" in station.said(), 60), station.said()
            assert 20 < len(station.acked) < 280
            disk.free()
            assert station.wait(120), station.said()
        finally:
            station.kill()
        _hold(station)
        assert compare(station.record, shared) == []
        assert wrong(shared, station.record) == []


def test_a_full_disk_at_the_server_loses_nothing(tmp_path: Path) -> None:
    """The station works on and says what is wrong; when there is room again, all arrives once."""
    place = Path("/tmp") / f"sinkside-full-{os.getpid()}"
    try:
        with small_disk(place, 200 * MB) as disk, server_at(disk.folder) as server:
            shared = made(server)
            station = StationAtWork(tmp_path / "one", shared.one, server.port, shared.database, 0, 5, 1)
            station.write_work(6000)
            try:
                station.start()
                assert station.wait_for(lambda: len(station.acked) > 20, 60), station.said()
                disk.fill()
                assert station.wait_for(lambda: "shared record" in station.said(), 120), station.said()
                disk.free()
                server.kill()
                server.start()
                assert station.wait(120), station.said()
            finally:
                station.kill()
            _hold(station)
            assert compare(station.record, shared) == []
            assert wrong(shared, station.record) == []
    finally:
        if place.exists():
            place.rmdir()
