"""A station at work, a program to be killed: it appends what it is given and forwards at the same time.

It reads its orders, one JSON object, from its first argument: `record`, `address` (a connection URI), `work`
(a file of runs), `shift_ms` (how wrong its clock is), `piece` (events in an append), `pieces` (forwarded at
most in one go). It says on stdout `ack ID` after each append, and `done` when all is appended and forwarded.
Started again on the same record it goes on where the record ends.
"""

from __future__ import annotations

import json
import random
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from trainer.record.journal import StationJournal
from trainer.record.shared.address import parse_address
from trainer.record.shared.backoff import Backoff
from trainer.record.shared.forwarder import Forwarder, Stopped
from trainer.run.clock import SystemClock, from_ms, to_ms
from trainer.run.events import Event, RunOpened, Stamp
from trainer.run.ports import JournalTrouble, Trouble
from trainer.run.wire import event_from_json

Runs = list[list[Event]]


class WrongClock(SystemClock):
    """A clock that is off."""

    def __init__(self, shift_ms: int) -> None:
        super().__init__()
        self._shift = shift_ms

    def now(self) -> Stamp:
        """The present moment, or what it takes for it."""
        now = super().now()
        return Stamp(from_ms(to_ms(now.at) + self._shift), now.boot, now.ticks_ms)


def runs_in(file: Path) -> Runs:
    """The runs that the station is to append, as they were written down for it."""
    return [[event_from_json(event) for event in run] for run in json.loads(file.read_text("utf-8"))]


def append_all(journal: StationJournal, work: Path, piece: int) -> None:
    """Append what is not there yet, and say so after each piece."""
    with journal.reading() as connection:
        there = dict(connection.execute("SELECT run, count FROM heads").fetchall())
    for run in runs_in(work):
        begins = int(there.get(run[0].run, 0))
        if begins:
            journal.take_lease(run[0].run)
        opened = run[0].body
        assert isinstance(opened, RunOpened)
        source = (work.parent / opened.content_hash).read_bytes()
        journal.keep_procedure(opened.content_hash, source, opened.procedure, opened.revision)
        for at in range(begins, len(run), piece):
            some = run[at : at + piece]
            _append(journal, some)
            sys.stdout.write(f"ack {some[-1].id}\n")
            sys.stdout.flush()


def _append(journal: StationJournal, some: list[Event]) -> None:
    """Append, and again where the record was busy; a full disk is told, and waited out."""
    pause = threading.Event()
    while True:
        try:
            journal.append(some)
        except JournalTrouble as trouble:
            sys.stderr.write(f"refused: {trouble}\n")
            pause.wait(0.05)
        else:
            return


def forward_until(forwarder: Forwarder, appended: threading.Event, seed: int) -> None:
    """Contacts, one after another, until one is made after the last append."""
    backoff = Backoff(first=0.05, longest=0.5, draw=random.Random(seed).random)  # noqa: S311 - moments
    pause = threading.Event()
    while True:
        last = appended.is_set()
        try:
            forwarder.contact()
        except Stopped:
            return
        except Trouble as trouble:
            sys.stderr.write(f"{trouble}\n")
            pause.wait(backoff.failed())
        else:
            backoff.succeeded()
            if last:
                return
            appended.wait(0.02)


def main() -> None:
    """Work and forward; end when both are done."""
    order = json.loads(sys.argv[1])
    clock = WrongClock(order["shift_ms"])
    record = Path(order["record"])
    address = parse_address(order["address"], source="the test", secret_place=True)
    appended = threading.Event()
    with StationJournal(record, clock) as journal, ThreadPoolExecutor(1) as pool:
        forwarder = Forwarder(record, address, clock, most=order["pieces"])
        sending = pool.submit(forward_until, forwarder, appended, order["shift_ms"])
        append_all(journal, Path(order["work"]), order["piece"])
        appended.set()
        sending.result()  # an error that nobody foresaw in it ends the program without `done`
    sys.stdout.write("done\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
