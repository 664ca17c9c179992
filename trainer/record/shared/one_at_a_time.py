"""One forwarder a record: a lock on a file beside it, which the system lets go of when a program dies."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from trainer.record.store import trouble_of
from trainer.run.ports import Trouble


class AnotherForwards(Trouble):
    """Another program at this station forwards the record at this moment."""


def path_of(record: Path) -> Path:
    """The file that is locked; it stays, empty."""
    return record.with_name(record.name + ".forwarding")


@contextmanager
def alone(record: Path) -> Iterator[None]:
    """Inside, no other program forwards this record. Raises AnotherForwards at once, JournalTrouble."""
    try:
        handle = os.open(path_of(record), os.O_CREAT | os.O_RDWR, 0o600)
    except OSError as error:
        raise trouble_of(error, path_of(record)) from error
    try:
        if not _locked(handle):
            raise AnotherForwards("Another program at this station forwards the record at this moment.")
        yield
    finally:
        os.close(handle)


def _locked(handle: int) -> bool:
    """Lock an open file for this program alone; whether that went."""
    if os.name != "posix":
        return True  # there SQLite and the cursor alone keep two forwarders apart; both may send the same
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
