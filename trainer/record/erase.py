"""Taking one person out of the record for good.

What goes: the row with code, name and PIN; body and salt of every event of that person's work, and of events
by others that name a trainee (a hand-over, a note); what the projections say from them. What stays: number,
id, time and digest of each event, so that the chain holds, and a sealed line that says which were erased.
An instructor's sign-offs belong to the trainees' records and stay, with the bare code.

This is the one code path that lifts the append-only triggers; runs that are too old go the same way.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from operator import itemgetter
from typing import Literal

from trainer.record import chain, heads, schema
from trainer.record.gone import take_out
from trainer.record.journal import StationJournal
from trainer.record.mistyped import put_right_in
from trainer.record.rebuild import KEPT, rebuild_run
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble

_NAMING = ("trainee", "from", "to", "by")
"""The fields of bodies that hold a person's code."""


class Nobody(JournalTrouble):
    """Nobody has the code, and no event names it: there is nothing to erase."""


class HandedOver(JournalTrouble):
    """A run that was handed over is still open in another's hands. Nothing was erased."""


@frozen
class Erased:
    """What an erasure took: how many events, of which runs."""

    code: str
    events: int
    runs: tuple[str, ...]


@frozen
class Erasure:
    """A sealed line of the record: these events of this run were erased."""

    number: int
    at: str
    run: str
    seqs: tuple[int, ...]

    def encoded(self) -> bytes:
        """Its canonical bytes."""
        return chain.canonical(
            {"number": self.number, "at": self.at, "run": self.run, "seqs": list(self.seqs)}
        )


def numbers_in(seqs: str) -> tuple[int, ...]:
    """The event numbers of an erasure's row; none where the row was spoiled."""
    parts = seqs.split()
    return tuple(map(int, parts)) if all(part.isascii() and part.isdecimal() for part in parts) else ()


def names_person(body: str, code: str) -> bool:
    """Whether an event (its kept text) names a person in its body."""
    if f'"{code}"' not in body:
        return False
    try:
        fields = json.loads(body)["body"]
        return any(fields.get(field) == code for field in _NAMING)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return False  # written into the file by hand: `verify` tells of it


Row = tuple[str, int, str, str]
"""Run, number, person and text of a kept event."""


def concerning(rows: Iterable[Row], code: str) -> Iterator[tuple[Row, Literal["own", "named"]]]:
    """Those events of whole runs, a run after another, that are a person's own work, or name the person.

    What was kept under a mistyped code is the work of whoever an instructor said, and of nobody else.
    """
    for _, of_run in groupby(rows, key=itemgetter(0)):
        run = list(of_run)
        said = put_right_in(body for *_, body in run)
        for row in run:
            if (row[2] if said is None else said.right) == code:
                yield row, "own"
            elif (said is None or code not in said.wrong) and names_person(row[3], code):
                yield row, "named"


def erase_person(journal: StationJournal, code: str) -> Erased:
    """Erase a person. Raises JournalTrouble: Nobody; HandedOver where his or her run goes on with another."""
    with journal.changing() as (connection, key, now):
        role = connection.execute("SELECT role FROM people WHERE code = ?", (code,)).fetchone()
        seqs = _events_of(connection, code, also_named=role is None or role[0] == "trainee")
        if role is None and not seqs:
            raise Nobody(f"Nobody here has the code {code}, and no event names it.")
        for run in seqs:
            _refuse_open(connection, run, code)
        erase_events(connection, key, now, seqs)
        take_out(connection, key, now, code)
    write_anew(journal, f"{code} is erased")
    return Erased(code, sum(map(len, seqs.values())), tuple(seqs))


def erase_events(
    connection: sqlite3.Connection, key: chain.ChainKey, now: str, seqs: Mapping[str, Sequence[int]]
) -> None:
    """Erase events, by run and number, for good. Inside a transaction; `write_anew` belongs after it."""
    _drop(connection, seqs)
    for run, gone in seqs.items():
        _seal(connection, key, now, run, gone)
        rebuild_run(connection, run)
        # Whoever has such a run on a screen is told at the next act that it is no longer there.
        connection.execute("UPDATE leases SET holder = '' WHERE run = ?", (run,))


def write_anew(journal: StationJournal, done: str) -> None:
    """Write the file anew: nothing erased stays in its unused parts.

    Raises JournalTrouble where that fails; `done` says in it what is done all the same.
    """
    try:
        with journal.reading() as connection:
            connection.execute("VACUUM")
    except JournalTrouble as trouble:
        raise JournalTrouble(
            f"{done}. But the file could not be written anew, so that traces may stay "
            f"in its unused parts until the next erasure: {trouble.args[0]}"
        ) from trouble


def _events_of(connection: sqlite3.Connection, code: str, *, also_named: bool) -> dict[str, list[int]]:
    """By run, the numbers of the events to erase."""
    found: dict[str, list[int]] = {}
    for (run, seq, *_), how in concerning(connection.execute(KEPT), code):
        if how == "own" or also_named:
            found.setdefault(run, []).append(seq)
    return found


def _refuse_open(connection: sqlite3.Connection, run: str, code: str) -> None:
    row = connection.execute("SELECT trainee FROM runs WHERE run = ? AND closed = ''", (run,)).fetchone()
    if row is not None and row[0] != code:
        raise HandedOver(
            f"{code} handed run {run} over to {row[0]}, and it is still open: without its beginning it "
            f"could not go on. Let {row[0]} finish or stop it, then erase {code}. Nothing was erased."
        )


def _drop(connection: sqlite3.Connection, seqs: Mapping[str, Sequence[int]]) -> None:
    """Body, salt and person of the events, the triggers being lifted only inside this transaction."""
    for trigger in schema.EVENT_TRIGGERS:
        connection.execute(f"DROP TRIGGER {trigger}")
    connection.executemany(
        "UPDATE events SET body = NULL, salt = NULL, person = '' WHERE run = ? AND seq = ?",
        [(run, seq) for run, gone in seqs.items() for seq in gone],
    )
    for statement in schema.EVENT_TRIGGERS.values():
        connection.execute(statement)


def _seal(
    connection: sqlite3.Connection, key: chain.ChainKey, now: str, run: str, gone: Sequence[int]
) -> None:
    """Write down which events were erased, linked to the erasure before and counted at the station."""
    before = connection.execute("SELECT number, mac FROM erasures ORDER BY number DESC LIMIT 1").fetchone()
    number, link = (before[0] + 1, before[1]) if before else (1, b"")
    entry = Erasure(number, now, run, tuple(gone))
    connection.execute(
        "INSERT INTO erasures (number, at, run, seqs, mac) VALUES (?, ?, ?, ?, ?)",
        (number, now, run, " ".join(map(str, gone)), chain.linked(key.mac, link, entry.encoded())),
    )
    known = heads.station(connection)
    if known is not None:
        heads.save_station(connection, key, replace(known, erasures=known.erasures + 1))
