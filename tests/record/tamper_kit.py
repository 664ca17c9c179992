"""Ways to tamper with a record, and the record they are tried on."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

from record_kit import SHORT_RUN, Station, opened, short_run, shown

from trainer.record import chain, heads, schema, second_place
from trainer.record.people import People
from trainer.record.rebuild import rebuild
from trainer.run import events as e

LAST = len(SHORT_RUN) + 2
"""The last event of a short run."""


def whole_record(folder: Path) -> Path:
    """A record of three runs: r1 and r2 closed, r3 open; and one erased person's run before them."""
    station = Station(folder)
    with station.open() as journal:
        short_run(station, journal, "r0", "T-09")
        People(journal).erase("T-09")
        short_run(station, journal, "r1")
        short_run(station, journal, "r2", "T-02")
        station.keep(
            journal, "r3", (None, opened("T-03")), ("draw-down", shown()), ("draw-down", e.Confirmed())
        )
    return station.path


def copied(record: Path, folder: Path) -> Path:
    """A copy of a record with its key and its second place."""
    shutil.copytree(record.parent, folder / "copy")
    return folder / "copy" / record.name


Statement = str | tuple[str, tuple[object, ...]]


def sql(*statements: Statement) -> Callable[[Path], None]:
    """Run statements with the append-only rules lifted and put back, as somebody who knows the file would."""

    def do(path: Path) -> None:
        with closing(sqlite3.connect(path)) as connection:
            for name in schema.EVENT_TRIGGERS:
                connection.execute(f"DROP TRIGGER {name}")
            for statement in statements:
                text, values = (statement, ()) if isinstance(statement, str) else statement
                assert connection.execute(text, values).rowcount != 0, text
            for rule in schema.EVENT_TRIGGERS.values():
                connection.execute(rule)
            connection.commit()

    return do


def asked(path: Path, question: str) -> list[tuple[Any, ...]]:
    """The rows that a question to the file gives."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(question).fetchall()


def fitting_body(path: Path) -> None:
    """Another reading, with the digest computed anew: only the key is missing to the forger."""
    ((salt, body),) = asked(path, "SELECT salt, body FROM events WHERE run = 'r1' AND seq = 7")
    forged = body.replace("17", "21")
    values = (forged, chain.digest_of(salt, forged.encode()))
    sql(("UPDATE events SET body = ?, digest = ? WHERE run = 'r1' AND seq = 7", values))(path)


def swap_bodies(path: Path) -> None:
    """Body, salt and digest of two events, each in the other's place."""
    four, five = asked(
        path, "SELECT salt, body, digest FROM events WHERE run = 'r1' AND seq IN (4, 5) ORDER BY seq"
    )
    update = "UPDATE events SET salt = ?, body = ?, digest = ? WHERE run = 'r1' AND seq = ?"
    sql((update, (*five, 4)), (update, (*four, 5)))(path)


def cut_with_list(path: Path) -> None:
    """The tail cut off, and the list made to fit as far as that goes without the key."""
    ((head,),) = asked(path, "SELECT head FROM events WHERE run = 'r1' ORDER BY seq DESC LIMIT 1 OFFSET 1")
    sql(
        ("DELETE FROM events WHERE run = 'r1' AND seq = ?", (LAST,)),
        ("UPDATE heads SET count = ?, head = ? WHERE run = 'r1'", (LAST - 1, head)),
    )(path)


def list_again(path: Path, count: int, head: bytes) -> None:
    """The row of r1 in the list of runs, made to fit by somebody with the key."""
    key = chain.read_key(path)
    assert key is not None
    with closing(sqlite3.connect(path)) as connection:
        row = heads.row_of(connection, "r1")
        assert row is not None
        heads.save(connection, key, replace(row, count=count, head=head, marked=count))
        connection.commit()


def cut_with_key(path: Path) -> None:
    """The tail cut off by somebody with the key: only the second place knows."""
    ((head,),) = asked(path, "SELECT head FROM events WHERE run = 'r1' ORDER BY seq DESC LIMIT 1 OFFSET 1")
    sql(("DELETE FROM events WHERE run = 'r1' AND seq = ?", (LAST,)))(path)
    list_again(path, LAST - 1, head)
    rebuild(path)


def rewrite_with_key(path: Path) -> None:
    """Run r1 written anew from event 7 on by somebody with the key; nothing in the record shows it."""
    key = chain.read_key(path)
    assert key is not None
    ((head,),) = asked(path, "SELECT head FROM events WHERE run = 'r1' AND seq = 6")
    after = "SELECT seq, id, stored, salt, body FROM events WHERE run = 'r1' AND seq >= 7 ORDER BY seq"
    updates: list[Statement] = []
    for seq, ident, stored, salt, body in asked(path, after):
        forged = body.replace('"value":17', '"value":18')
        header = chain.Header(seq, ident, stored, chain.digest_of(salt, forged.encode()))
        head = chain.linked(key.mac, head, header.encoded())
        update = "UPDATE events SET body = ?, digest = ?, head = ? WHERE run = 'r1' AND seq = ?"
        updates.append((update, (forged, header.digest, head, seq)))
    sql(*updates)(path)
    list_again(path, LAST, head)
    rebuild(path)


def other_key(path: Path) -> None:
    """Another key in the key's place."""
    chain.key_path(path).unlink()
    chain.make_key(path)


def lines(change: Callable[[list[str]], list[str]]) -> Callable[[Path], None]:
    """Change the lines of the second place."""

    def do(path: Path) -> None:
        where = second_place.path_of(path)
        where.write_text("".join(change(where.read_text().splitlines(keepends=True))))

    return do


def flip_a_bit(path: Path) -> None:
    """One bit of the text of a note in r1, as a bad disk would."""
    data = bytearray(path.read_bytes())
    data[data.index(b'"note":"Good contact"') + len('"note":"')] ^= 1
    path.write_bytes(data)


def spoil_key(path: Path) -> None:
    """Something else in the key's file."""
    chain.key_path(path).write_text("none")


def foreign_run(path: Path) -> None:
    """A row of a run that never was, put into a projection."""
    with closing(sqlite3.connect(path)) as connection:
        row = connection.execute("SELECT * FROM runs WHERE run = 'r3'").fetchone()
        connection.execute(f"INSERT INTO runs VALUES ({', '.join('?' * len(row))})", ("rx", *row[1:]))  # noqa: S608
        connection.commit()
