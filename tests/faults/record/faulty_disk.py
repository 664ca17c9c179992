"""A disk under SQLite that fails when it is told to, and writes down what was asked of it.

The record's own code runs over it unchanged: `store.opened` gives a connection of APSW, whose SQLite hands
every call to its storage through the classes here, dressed as one of the standard library. So what fails is a
real read, write, sync, lock or removal in the middle of a real transaction. (The SQLite in APSW is newer than
most Pythons'. What was written is looked at with the Python's own.)
"""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast
from unittest.mock import patch

import apsw

from trainer.record import journal, store

if TYPE_CHECKING:
    from typing_extensions import Buffer  # of collections.abc only from Python 3.12 on

T = TypeVar("T")
Kind = Literal["full", "quota", "io", "busy"]
_IO = {
    "open": apsw.SQLITE_CANTOPEN,
    "read": apsw.SQLITE_IOERR_READ,
    "write": apsw.SQLITE_IOERR_WRITE,
    "sync": apsw.SQLITE_IOERR_FSYNC,
    "truncate": apsw.SQLITE_IOERR_TRUNCATE,
    "remove": apsw.SQLITE_IOERR_DELETE,
    "size": apsw.SQLITE_IOERR_FSTAT,
    "exists": apsw.SQLITE_IOERR_ACCESS,
    "lock": apsw.SQLITE_IOERR_LOCK,
}
_CODES: dict[Kind, dict[str, int]] = {
    "full": {"write": apsw.SQLITE_FULL},
    "quota": {"write": apsw.SQLITE_IOERR_WRITE},
    "io": _IO,
    "busy": {"lock": apsw.SQLITE_BUSY},
}
"""By kind, the calls that can fail with it, and what SQLite's own storage would say.

It says FULL for ENOSPC alone; an account that has used up its share of a disk (EDQUOT) is an I/O error to it.
"""


@dataclass(frozen=True)
class Fault:
    """What fails. lasting: from the k-th call on until mended, else that one call; late: done, and then told
    to have failed."""

    kind: Kind
    lasting: bool = False
    late: bool = False


class Disk:
    """Counts the calls, fails the k-th of a kind, and remembers which were made."""

    def __init__(self) -> None:
        self._fault: Fault | None = None
        self._left = 0
        self.fired = ""
        """The first call that failed since the last `break_at`; '' where none did."""

    def break_at(self, fault: Fault, call: int) -> None:
        """Fail the `call`-th call (from 1) of the fault's kind from now on."""
        self._fault, self._left, self.fired = fault, call, ""

    @property
    def broken(self) -> bool:
        """Whether something is to fail."""
        return self._fault is not None

    def mend(self) -> None:
        """Everything works again."""
        self._fault = None

    def do(self, what: str, work: Callable[[], T]) -> T:
        """One call to the storage."""
        failing = self._fails(what)
        if failing is not None and not failing.late:
            raise apsw.exception_for(_CODES[failing.kind][what])
        done = work()
        if failing is not None:
            raise apsw.exception_for(_CODES[failing.kind][what])
        return done

    def sync_folder(self, folder: Path) -> None:
        """In place of `store.sync_folder`."""
        try:
            self.do("sync", lambda: store.sync_folder(folder))
        except apsw.Error as error:
            raise OSError(errno.EIO, os.strerror(errno.EIO), str(folder)) from error

    def _fails(self, what: str) -> Fault | None:
        fault = self._fault
        if fault is None or what not in _CODES[fault.kind]:
            return None
        self._left -= 1
        if self._left == 0 or (fault.lasting and self._left < 0):
            self.fired = self.fired or what
            return fault
        return None


class File(apsw.VFSFile):
    """An open file of that disk."""

    def __init__(self, disk: Disk, name: str | apsw.URIFilename | None, flags: list[int]) -> None:
        self._disk = disk
        super().__init__("", name, flags)

    def excepthook(self, *_: object) -> bool:
        """What fails where nobody can be told is meant to."""
        return True

    def xRead(self, amount: int, offset: int) -> bytes:  # noqa: N802 - SQLite's name, as all below
        """Read."""
        return self._disk.do("read", lambda: super(File, self).xRead(amount, offset))

    def xWrite(self, data: Buffer, offset: int) -> None:  # noqa: N802
        """Write."""
        self._disk.do("write", lambda: super(File, self).xWrite(data, offset))

    def xSync(self, flags: int) -> None:  # noqa: N802
        """Bring to the disk what was written."""
        self._disk.do("sync", lambda: super(File, self).xSync(flags))

    def xTruncate(self, newsize: int) -> None:  # noqa: N802
        """Cut."""
        self._disk.do("truncate", lambda: super(File, self).xTruncate(newsize))

    def xFileSize(self) -> int:  # noqa: N802
        """How long it is."""
        return self._disk.do("size", lambda: super(File, self).xFileSize())

    def xLock(self, level: int) -> None:  # noqa: N802
        """Take a lock."""
        self._disk.do("lock", lambda: super(File, self).xLock(level))


class Storage(apsw.VFS):
    """The files of that disk, by name."""

    def __init__(self, disk: Disk) -> None:
        self._disk = disk
        super().__init__(f"faulty-{id(disk)}", "")

    @property
    def name(self) -> str:
        """What connections call it."""
        return f"faulty-{id(self._disk)}"

    def excepthook(self, *_: object) -> bool:
        """As for a file."""
        return True

    def xOpen(self, name: str | apsw.URIFilename | None, flags: list[int]) -> File:  # noqa: N802
        """Open a file."""
        return self._disk.do("open", lambda: File(self._disk, name, flags))

    def xDelete(self, filename: str, syncdir: bool) -> None:  # noqa: N802
        """Remove a file; with `syncdir` its name is gone from the disk when this returns."""
        self._disk.do("remove", lambda: super(Storage, self).xDelete(filename, syncdir))

    def xAccess(self, pathname: str, flags: int) -> bool:  # noqa: N802
        """Whether a file is there."""
        return self._disk.do("exists", lambda: super(Storage, self).xAccess(pathname, flags))


class Cursor:
    """A cursor of APSW that behaves as one of the standard library."""

    def __init__(self, cursor: apsw.Cursor, connection: apsw.Connection) -> None:
        self._cursor = cursor
        self.lastrowid = connection.last_insert_rowid()

    def fetchone(self) -> tuple[Any, ...] | None:
        """The next row."""
        with _translated():
            return self._cursor.fetchone()

    def fetchall(self) -> list[tuple[Any, ...]]:
        """The rows that are left."""
        with _translated():
            return self._cursor.fetchall()

    def __iter__(self) -> Iterator[tuple[Any, ...]]:
        return iter(self.fetchall())


class Connection:
    """A connection of APSW that behaves as one of the standard library, as far as the record uses it."""

    def __init__(self, path: Path, storage: str) -> None:
        with _translated():
            flags = apsw.SQLITE_OPEN_READWRITE
            self._connection = apsw.Connection(str(path), flags=flags, vfs=storage)

    @property
    def in_transaction(self) -> bool:
        """Whether a transaction is open."""
        return self._connection.in_transaction

    def execute(self, statement: str, values: Sequence[object] = ()) -> Cursor:
        """Run one statement."""
        with _translated():
            return Cursor(
                self._connection.execute(statement, cast("tuple[None, ...]", tuple(values))), self._connection
            )

    def executemany(self, statement: str, rows: Iterable[Sequence[object]]) -> None:
        """Run one statement for each row."""
        for row in rows:
            self.execute(statement, row)

    def backup(self, target: Connection) -> None:
        """Put all that is here into another record, in one transaction."""
        with (
            _translated(),
            target._connection.backup("main", self._connection, "main") as backup,
        ):
            backup.step()

    def close(self) -> None:
        """Close the file."""
        with _translated():
            self._connection.close()


def apsw_code(error: apsw.Error) -> int:
    """The code of SQLite that an error of APSW stands for, the extended one where it has one."""
    # The stubs do not name what every error that came from SQLite carries.
    return int(getattr(error, "extendedresult", 0) or getattr(error, "result", apsw.SQLITE_ERROR))


@contextmanager
def _translated() -> Iterator[None]:
    try:
        yield
    except apsw.Error as error:
        told = sqlite3.OperationalError(str(error))
        told.sqlite_errorcode = apsw_code(error)
        raise told from error


@contextmanager
def faulty(disk: Disk) -> Iterator[None]:
    """Every record opened inside is on `disk`. Whoever finds it busy is told at once."""
    storage = Storage(disk)

    def opened(path: Path) -> sqlite3.Connection:
        return cast("sqlite3.Connection", Connection(path, storage.name))

    try:
        with (
            patch.object(store, "opened", opened),
            patch.object(journal, "sync_folder", disk.sync_folder),
        ):
            yield
    finally:
        disk.mend()
        storage.unregister()
