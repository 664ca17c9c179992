"""A disk of 2 MB that can be filled to its end and freed again: a mounted one where that is permitted.

Where it is not, the layer under SQLite says "full" while nothing is free, and gives back what the reserve
held.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple, Protocol
from unittest.mock import patch

from faulty_disk import Disk, Fault, Kind, faulty

from trainer.record import reserve, store

SIZE = 2 * 1024 * 1024


class SmallDisk(Protocol):
    """What a test does with it. folder: where the record is to lie."""

    folder: Path

    def fill(self) -> None:
        """Leave not a byte."""
        ...

    def free(self) -> None:
        """Take the filling away."""
        ...


class Mounted:
    """A file system of its own in memory."""

    def __init__(self, mount: Path) -> None:
        self.folder = mount
        self._filling = mount / "filling"

    def fill(self) -> None:
        """Write until the system says that there is no space."""
        handle = os.open(self._filling, os.O_CREAT | os.O_WRONLY | os.O_APPEND)
        try:
            for size in (65536, 4096, 1):
                try:
                    while os.write(handle, b"\0" * size):
                        pass
                except OSError:
                    continue
        finally:
            os.close(handle)

    def free(self) -> None:
        """Remove what was written."""
        self._filling.unlink()


class Layered:
    """The same by the layer under SQLite: full while filled, but for as much as the reserve gave back."""

    def __init__(self, folder: Path, disk: Disk, kind: Kind) -> None:
        self.folder = folder
        self._disk = disk
        self._full = Fault(kind, lasting=True)
        self._real = reserve.give_up

    def fill(self) -> None:
        """From now on every write fails."""
        self._disk.break_at(self._full, 1)

    def free(self) -> None:
        """Writes succeed again."""
        self._disk.mend()

    def give_up(self, record: Path) -> bool:
        """In place of `reserve.give_up`: what it gives back holds some 300 writes."""
        given = self._real(record)
        if given:
            self._disk.break_at(self._full, 300)
        return given

    def has_room(self, _: Path) -> bool:
        """In place of `store.has_room`."""
        return not self._disk.broken

    def usage(self, _: Path) -> Usage:
        """In place of `shutil.disk_usage`."""
        return Usage(SIZE, SIZE, 0) if self._disk.broken else Usage(SIZE, 0, SIZE)


class Usage(NamedTuple):
    """As `shutil.disk_usage` tells it."""

    total: int
    used: int
    free: int


@contextmanager
def layered(folder: Path, kind: Kind) -> Iterator[SmallDisk]:
    """A small disk by the layer. kind: `full`, or `quota` where only this account's share is used up."""
    disk = Disk()
    small = Layered(folder / kind, disk, kind)
    with (
        faulty(disk),
        patch.object(reserve, "give_up", small.give_up),
        patch.object(store, "has_room", small.has_room),
        patch.object(shutil, "disk_usage", small.usage),
    ):
        yield small


@contextmanager
def mounted(folder: Path) -> Iterator[SmallDisk | None]:
    """A small disk that is mounted; None where this account may not mount one."""
    mount = folder / "mounted"
    mount.mkdir()
    tool = shutil.which("mount")
    asked = [tool or "", "-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", str(mount)]
    if tool is None or subprocess.run(asked, capture_output=True, check=False).returncode:
        yield None
        return
    try:
        yield Mounted(mount)
    finally:
        subprocess.run(["umount", str(mount)], check=True)
