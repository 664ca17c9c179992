"""Room set aside beside the record, given up when the disk is full, so that the act in hand can be kept."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, TypeVar

from trainer.record.store import DiskFull, troubles

T = TypeVar("T")

SIZE = 256 * 1024
"""Bytes set aside. An act takes about 2 KiB for good and some 50 KiB while it is written."""


def path_of(record: Path) -> Path:
    """Where the reserve of a record lies."""
    return record.with_name(record.name + ".reserve")


def stands(record: Path) -> bool:
    """Whether the reserve is there, whole."""
    try:
        return os.stat(f"{record}.reserve").st_size >= SIZE  # noqa: PTH116 - after every act, so quickly
    except OSError:
        return False


def make(record: Path) -> bool:
    """Set the room aside where it is not; whether it is there now. Never takes the last of a disk."""
    if stands(record):
        return True
    path = path_of(record)
    try:
        # Twice the room must be free: else the reserve itself would be what fills the disk.
        if shutil.disk_usage(path.parent).free < 2 * SIZE:
            return False
        handle = os.open(path, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file:
            _fill(file)
    except OSError:
        give_up(record)
        return False
    return True


def _fill(file: BinaryIO) -> None:
    if sys.platform == "linux":
        os.posix_fallocate(file.fileno(), 0, SIZE)  # taken from the disk without a byte being written
    else:
        file.write(os.urandom(SIZE))  # a disk that packs what it keeps would pack zeros into nothing


def give_up(record: Path) -> bool:
    """Give the room back to the disk; whether there was any."""
    try:
        path_of(record).unlink()
    except OSError:
        return False
    return True


def spared(record: Path, work: Callable[[], T]) -> T:
    """What `work`, one transaction, gives; on a full disk it is done once more in the room set aside.

    Raises JournalTrouble; DiskFull where that room is gone, or not enough.
    """
    try:
        with troubles(record):
            return work()
    except DiskFull as full:
        if not give_up(record):
            raise
        try:
            with troubles(record):
                return work()
        except DiskFull:
            raise full from None
