"""A program with many writers on one record, each a process of its own with a run of its own.

Arguments: record, writers, acts for each, seconds between two acts (0: none), and `deferred` for the
sabotaged kind whose transactions take the write lock only when they write. It says the history of all of
them, a line at a time, and ends with 0 where no writer failed.
"""

from __future__ import annotations

import os
import select
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from history_kit import Witness
from record_kit import SHORT_RUN, SOURCE, Station, opened, real_hash

from trainer.record import journal as journal_module
from trainer.run.ports import JournalTrouble


def write(record: Path, number: int, acts: int, pause: float, room: int) -> None:
    """One writer: open the record, open a run, append act after act.

    room: a pipe that ends when the room does; then nobody works on.
    """
    station = Station(record.parent.parent, record.name)
    run = f"run-{number}"
    with station.open() as journal:
        journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
        witness = Witness(journal, _say)
        station.keep(witness, run, (None, opened(f"T-{number:02}")), SHORT_RUN[0])
        for act in range(acts):
            if select.select([room], [], [], pause)[0]:  # people work at a pace of their own
                return
            station.keep(witness, run, SHORT_RUN[1 + act % 15])


def _say(line: str) -> None:
    os.write(1, line.encode("ascii"))  # whole lines of many writers, since they are shorter than PIPE_BUF


@contextmanager
def deferred(connection: sqlite3.Connection) -> Iterator[None]:
    """Sabotage: in place of `store.writing`, the lock is taken at the first write."""
    connection.execute("BEGIN")
    try:
        yield
        connection.execute("COMMIT")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


def main() -> int:
    """Fork the writers and wait for all of them; 1 where one failed."""
    record, writers, acts, pause = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), float(sys.argv[4])
    if sys.argv[5:] == ["deferred"]:
        patch.object(journal_module, "writing", deferred).start()
    room, door = os.pipe()
    children = [_forked(record, number, acts, pause, (room, door)) for number in range(1, writers + 1)]
    return max(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children)


def _forked(record: Path, number: int, acts: int, pause: float, pipe: tuple[int, int]) -> int:
    child = os.fork()
    if child:
        return child
    status = 1
    room, door = pipe
    try:
        os.close(door)
        write(record, number, acts, pause, room)
        status = 0
    except JournalTrouble as trouble:
        os.write(2, f"{trouble}\n".encode())
    finally:
        os._exit(status)  # a fork must not run the parent's way out


if __name__ == "__main__":
    sys.exit(main())
