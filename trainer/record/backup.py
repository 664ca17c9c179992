"""A backup of the record, made while it is in use: a record like any other, with its key and second place.

The copy is looked over, links and all, before it gets its name: what is kept as a backup was whole then.
"""

from __future__ import annotations

import errno
import os
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from trainer.record import chain, second_place
from trainer.record.findings import Report
from trainer.record.migrations import applied, migrate, refuse_newer
from trainer.record.store import BUSY_SECONDS, opened, sync_folder, trouble_of
from trainer.record.verify import verify
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble


@frozen
class BackedUp:
    """What was kept, and where. with_key: whether the key lies beside it."""

    path: Path
    report: Report
    with_key: bool


def files_of(record: Path) -> tuple[Path, Path, Path]:
    """The three files that belong together: record, second place, key."""
    return record, second_place.path_of(record), chain.key_path(record)


def backup(record: Path, to: Path, at: str, *, with_key: bool = True) -> BackedUp:
    """Copy a record with what belongs to it. to: a new file, or a folder for one named by the time `at`.

    Raises JournalTrouble where the record cannot be read, is damaged, or the copy cannot be written; then no
    backup is left.
    """
    if to.is_dir():
        to /= f"{record.stem}-{stamp(at)}{record.suffix}"
    for there in files_of(to):
        if os.path.lexists(there):
            raise JournalTrouble(
                f"{there} is there already and is left as it is. Give the backup another name."
            )
    with staged(record, to, at) as half:
        report = looked_over(half, record, "No backup was made")
        if not with_key:
            chain.key_path(half).unlink()
        take_names(half, to)
    return BackedUp(to, report, with_key)


def stamp(at: str) -> str:
    """A time as a part of a file's name: `20260302-090000`."""
    return at[:19].replace("-", "").replace(":", "").replace("T", "-")


_STAGED = (".sinkside-", ".part")
"""Between them some random signs: the name of a copy that is not looked over yet."""


def is_staged(name: str) -> bool:
    """Whether a file is such a copy, or belongs to one: what a stop in the middle leaves."""
    return name.startswith(_STAGED[0]) and _STAGED[1] in name


def _draft_name(beside: Path) -> Path:
    return beside.with_name(f"{_STAGED[0]}{secrets.token_hex(8)}{_STAGED[1]}")


@contextmanager
def staged(record: Path, beside: Path, at: str, *, key_of: Path | None = None) -> Iterator[Path]:
    """A copy of a record and what belongs to it, under a name that nobody looks for; gone afterwards.

    The copy of a record of an older Sinkside is brought up to date; the record itself is not. at: now.
    beside: in whose folder. key_of: the record whose key it gets where it has none of its own.
    Raises JournalTrouble.
    """
    half = _draft_name(beside)
    try:
        _copy(record, half, at, key_of)
        yield half
    finally:
        for file in (*files_of(half), half.with_name(f"{half.name}-journal")):
            with suppress(FileNotFoundError):
                file.unlink()


def _copy(record: Path, half: Path, at: str, key_of: Path | None) -> None:
    if not record.is_file():
        raise JournalTrouble(f"There is no record {record}. Name the right file.")
    try:
        # The second place first: its lines are written after the events that they tell of.
        heads = _read(second_place.path_of(record))
        _copy_database(record, half, at)
        key = _read(chain.key_path(record))
        if key is None and key_of is not None:
            key = _read(chain.key_path(key_of))
        for content, path in zip((heads, key), files_of(half)[1:], strict=True):
            if content is not None:
                _write(path, content)
    except (OSError, sqlite3.Error, UnicodeDecodeError) as error:
        raise _trouble(error, record, half) from error


def _trouble(error: sqlite3.Error | OSError | UnicodeDecodeError, record: Path, half: Path) -> JournalTrouble:
    """The sentence for a copy that failed: of the disk it goes to, or of the record."""
    if not half.exists():
        return JournalTrouble(
            f"No file can be made in {half.parent}: {getattr(error, 'strerror', None) or error}. "
            "Name a folder that is there and may be written to."
        )
    full = trouble_of(error, half)
    if "disk is full" in str(full):
        return JournalTrouble(
            f"The disk of {half.parent} is full: nothing was kept there. Free some space first."
        )
    return trouble_of(error, record)


def _copy_database(record: Path, half: Path, at: str) -> None:
    """SQLite's own backup: whole transactions, whoever writes meanwhile."""
    os.close(os.open(half, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    mode = "rw" if os.access(record, os.W_OK) and os.access(record.parent, os.W_OK) else "ro"
    uri = f"{record.absolute().as_uri()}?mode={mode}"
    with (
        closing(sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS)) as source,
        closing(opened(half)) as copy,
    ):
        refuse_newer(applied(source, record), record)
        copy.execute("PRAGMA synchronous = EXTRA")
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")
        if applied(copy, record):
            migrate(copy, record, at)


def _read(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


def _write(path: Path, content: bytes) -> None:
    with os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def looked_over(half: Path, record: Path, refused: str) -> Report:
    """What `verify` says of a staged copy of a record. Raises JournalTrouble where it is not whole.

    refused: how the sentence begins then.
    """
    report = verify(half)
    problems = [finding.message for finding in report.findings if finding.severity == "problem"]
    if problems:
        first = problems[0].replace(str(half), str(record))
        more = f" And {len(problems) - 1} more were found." if len(problems) > 1 else ""
        raise JournalTrouble(
            f"{refused}: {record} is not as it was written. {first}{more} See `sinkside record verify`."
        )
    if not report.events:
        raise JournalTrouble(f"{refused}: {record} holds nothing yet.")
    return report


def take_names(half: Path, to: Path) -> None:
    """Give a staged copy and what belongs to it their names; never over a file. Raises JournalTrouble.

    The record last, once the other names are on the disk: it is never there without what it needs.
    """
    taken: list[Path] = []
    try:
        for staged_file, path in reversed(list(zip(files_of(half), files_of(to), strict=True))):
            if staged_file.exists():
                give_name(staged_file, path)
                taken.append(path)
                sync_folder(to.parent)
    except OSError as error:
        for path in taken:
            path.unlink(missing_ok=True)
        raise JournalTrouble(
            f"{to} cannot be written: {error.strerror or error}. Nothing was kept there."
        ) from error


def give_name(half: Path, path: Path) -> None:
    """One more name for a file, or a copy under it where the disk knows no such; never over another file.

    Raises OSError.
    """
    try:
        path.hardlink_to(half)  # fails where a file came there meanwhile
    except FileExistsError:
        raise
    except OSError:  # no links on this disk
        _copy_whole(half, path)


def _copy_whole(half: Path, path: Path) -> None:
    """A copy that has its name only once it is whole."""
    if os.path.lexists(path):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
    draft = _draft_name(path)
    try:
        _write(draft, half.read_bytes())
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
