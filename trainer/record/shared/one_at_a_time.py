"""One forwarder a record: a lock on a file beside it, which the system lets go of when a program dies."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path

from trainer.record.store import trouble_of, troubles
from trainer.run.ports import Trouble


class AnotherForwards(Trouble):
    """Another program at this station forwards the record at this moment."""


_HELD = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)
"""What a system says of a lock that somebody holds: POSIX the first or second, Windows the first or last."""


def path_of(record: Path) -> Path:
    """The file that is locked; it stays, empty."""
    return record.with_name(record.name + ".forwarding")


@contextmanager
def alone(record: Path) -> Iterator[None]:
    """Inside, no other program forwards this record. Raises AnotherForwards at once, JournalTrouble."""
    path = path_of(record)
    with troubles(path):
        handle = os.open(path, os.O_CREAT | os.O_RDWR, 0o600)
    try:
        if not _locked(handle, path):
            raise AnotherForwards("Another program at this station forwards the record at this moment.")
        yield
    finally:
        os.close(handle)


def _locked(handle: int, path: Path) -> bool:
    """Lock an open file for this program alone; False: another holds it. Raises JournalTrouble."""
    try:
        _lock(handle)
    except OSError as error:
        if error.errno in _HELD:
            return False
        raise trouble_of(error, path) from error
    return True


def _lock(handle: int) -> None:
    """Ask for the lock, by whichever of the two calls this system has, and wait for nobody.

    Closing the file gives it back, with either. Raises OSError.
    """
    try:
        import fcntl
    except ImportError:
        # By name: where the one module is, a checker of types knows the other as empty.
        windows = import_module("msvcrt")
        windows.locking(handle, windows.LK_NBLCK, 1)
    else:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
