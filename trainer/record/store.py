"""The record's file: opened with the same modes everywhere, its errors turned into sentences."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from types import TracebackType

from trainer.run.ports import JournalTrouble

BUSY_SECONDS = 5.0
"""How long a write waits for another terminal of the station."""

LEAST_SQLITE = (3, 37, 0)
"""STRICT tables came with this version."""

_SENTENCES = {
    sqlite3.SQLITE_FULL: "The disk is full: nothing more fits into the record {path}. "
    "Free some space, then try again.",
    sqlite3.SQLITE_READONLY: "The record {path} cannot be written: the file or its folder is read-only. "
    "Give this account the right to write there, or name another record with --record.",
    sqlite3.SQLITE_PERM: "The record {path} cannot be used: this account has no right to it. "
    "Ask whoever keeps this station, or name another record with --record.",
    sqlite3.SQLITE_BUSY: "The record {path} is in use by another program and was not free within 5 seconds. "
    "Wait a moment and try again; if it stays so, close whatever has the record open.",
    sqlite3.SQLITE_LOCKED: "The record {path} is in use by another part of this program. Try again.",
    sqlite3.SQLITE_NOTADB: "The file {path} is not a Sinkside record. Name the right file with "
    "--record, or move this one away, with all files whose names begin the same, and start again: "
    "a new record is made.",
    sqlite3.SQLITE_CORRUPT: "The record {path} is damaged. Keep the file as it is, and go "
    "on with a backup: `sinkside record restore FILE`.",
    sqlite3.SQLITE_CANTOPEN: "The record {path} cannot be opened. See that the folder is there, that "
    "this account may read and write it, and that the name is not that of a folder.",
    sqlite3.SQLITE_IOERR: "The disk failed while the record {path} was read or written. See that it "
    "is not full and still attached, then try again.",
    sqlite3.SQLITE_CONSTRAINT: "The record {path} refused what was to be written, since it does not fit "
    "what is there already ({detail}). Nothing was kept. See `sinkside record verify`.",
}


class DiskFull(JournalTrouble):
    """Nothing more fits on the disk."""


def trouble_of(error: sqlite3.Error | OSError | UnicodeDecodeError, path: Path) -> JournalTrouble:
    """The sentence for an error of the database or of the operating system.

    A UnicodeDecodeError: SQLite quotes what it cannot read, and Python cannot read the quotation either.
    """
    if isinstance(error, UnicodeDecodeError):
        return JournalTrouble(_SENTENCES[sqlite3.SQLITE_CORRUPT].format(path=path))
    if _means_full(error, path):
        return DiskFull(_SENTENCES[sqlite3.SQLITE_FULL].format(path=path))
    if isinstance(error, OSError):
        return JournalTrouble(
            f"The record {path} cannot be used: {error.strerror or error}. "
            "See that the folder is there and that this account may write in it, "
            "or name another record with --record."
        )
    if sentence := _SENTENCES.get(_code(error)):
        return JournalTrouble(sentence.format(path=path, detail=error))
    return JournalTrouble(
        f"The record {path} could not be read or written ({error}). Try again; if it stays so, "
        "see `sinkside record verify`."
    )


_NO_MORE = (errno.ENOSPC, errno.EDQUOT)
"""No space on the disk; no more of it for this account."""


def _code(error: sqlite3.Error) -> int:
    """SQLite's primary code."""
    extended: int = getattr(error, "sqlite_errorcode", 0)
    return extended & 0xFF


def _means_full(error: sqlite3.Error | OSError, path: Path) -> bool:
    if isinstance(error, OSError):
        return error.errno in _NO_MORE
    code = _code(error)
    # SQLite has a code for a disk without space, none for an account that has used up its share of one.
    unclear = code in (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN)
    return code == sqlite3.SQLITE_FULL or (unclear and not has_room(path))


def has_room(path: Path) -> bool:
    """Whether one more small file fits beside `path`; True too where that fails for another reason."""
    draft = path.with_name(f"{path.name}.room-{os.urandom(4).hex()}")
    try:
        handle = os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        try:
            os.write(handle, os.urandom(4096))
            os.fsync(handle)
        finally:
            os.close(handle)
            draft.unlink()
    except OSError as error:
        return error.errno not in _NO_MORE
    return True


class troubles:  # noqa: N801 - read in a `with` statement, as what it says
    """Inside, every error of the database or of the operating system becomes a JournalTrouble.

    No generator: every act goes through some of these, and one made of a generator takes four times as long.
    """

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> None:
        """Nothing is to be done yet."""

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if isinstance(error, sqlite3.Error | OSError | UnicodeDecodeError):
            raise trouble_of(error, self._path) from error


class writing:  # noqa: N801 - the same
    """One transaction that takes the write lock at its beginning; whatever goes wrong, nothing of it stays.

    A deferred transaction would fail at once, without waiting, where another terminal writes in between.
    """

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def __enter__(self) -> None:
        """Begin."""
        self._connection.execute("BEGIN IMMEDIATE")

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            if error is None:
                self._connection.execute("COMMIT")
        finally:
            # Some errors (a full disk) have rolled back already; a second ROLLBACK would be an error itself.
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")


def connect(path: Path, *, make: bool = True) -> sqlite3.Connection:
    """Open the record's file for reading and writing; usable from any thread, one at a time.

    With `make`, folder (0700) and file (0600) are made where missing. Raises JournalTrouble.
    """
    if sqlite3.sqlite_version_info < LEAST_SQLITE:
        raise JournalTrouble(
            f"This Python has SQLite {sqlite3.sqlite_version}; the record needs 3.37 or newer. "
            "Install a newer Python."
        )
    with troubles(path):
        _make_private(path, make=make)
        connection = opened(path)
        try:
            _set_modes(connection)
        except sqlite3.Error:
            connection.close()  # one that is only dropped keeps its file open until the next collection
            raise
    return connection


def opened(path: Path) -> sqlite3.Connection:
    """A bare connection to a file that is there: the one place where the database is opened for writing."""
    return sqlite3.connect(
        f"{path.absolute().as_uri()}?mode=rw",
        uri=True,
        timeout=BUSY_SECONDS,
        isolation_level=None,
        check_same_thread=False,
    )


@contextmanager
def snapshot(path: Path) -> Iterator[sqlite3.Connection]:
    """The record as it stands at one moment, copied into memory: looking at it holds up nobody who writes.

    Raises JournalTrouble where there is none, or where it cannot be read.
    """
    with troubles(path):
        if not path.is_file():
            raise JournalTrouble(f"There is no record {path}. Name the right file with --record.")
        # A transaction that a crash left half-done is rolled back first, which needs the right to write.
        # Without that right the file is read as it lies.
        mode = "rw" if os.access(path, os.W_OK) and os.access(path.parent, os.W_OK) else "ro"
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy:
            uri = f"{path.absolute().as_uri()}?mode={mode}"
            with closing(sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS)) as source:
                source.backup(copy)
            yield copy


def sync_folder(folder: Path) -> None:
    """See that names of files made or changed in a folder are on the disk. Raises OSError."""
    if os.name != "posix":
        return  # other systems do not open folders
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _make_private(path: Path, *, make: bool) -> None:
    if path.parts[:1] in {("postgresql:",), ("postgres:",)}:
        raise JournalTrouble(
            "SINKSIDE_RECORD names the shared record, which is only read. Name the station's own file there, "
            "and the shared record in SINKSIDE_SHARED."
        )
    if path.is_dir():
        raise JournalTrouble(f"{path} is a folder, not a record. Name a file with --record.")
    if path.exists():
        if not (os.access(path, os.R_OK | os.W_OK) and os.access(path.parent, os.W_OK | os.X_OK)):
            raise JournalTrouble(_SENTENCES[sqlite3.SQLITE_READONLY].format(path=path))
        if path.stat().st_mode & 0o077:
            with suppress(PermissionError):  # another's file, or a disk that knows no such rights
                path.chmod(0o600)
        return
    if not make:
        raise JournalTrouble(f"There is no record {path}. Name the right file with --record.")
    if not path.parent.exists():
        path.parent.parent.mkdir(parents=True, exist_ok=True)
        path.parent.mkdir(mode=0o700, exist_ok=True)
        sync_folder(path.parent.parent)
    # Made before SQLite does, so that nobody else can read it even for a moment.
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))


def _set_modes(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA secure_delete = ON")
    connection.execute("PRAGMA trusted_schema = OFF")
