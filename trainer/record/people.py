"""Who is at this station: short codes, and a name, if one is given at all, in this one table."""

from __future__ import annotations

import sqlite3
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Self

from trainer.procedure.text import clean, one_line
from trainer.record import pins
from trainer.record.codes import code_asked
from trainer.record.journal import StationJournal
from trainer.record.packing import unpacked
from trainer.run import wire
from trainer.run.frozen import frozen
from trainer.run.ports import Clock, JournalTrouble

if TYPE_CHECKING:
    from trainer.record.erase import Erased
    from trainer.record.find_run import Kept


Role = Literal["trainee", "instructor"]

LONGEST_NAME = 80


@frozen
class Person:
    """Somebody at this station. name: empty where none was given. runs: how many he or she worked in.

    excused: so many of them count for nothing.
    """

    code: str
    role: Role
    name: str
    added_at: str
    has_pin: bool
    runs: int
    excused: int = 0


def _name(text: str) -> str:
    kept = " ".join(unicodedata.normalize("NFC", clean(text)).split())
    if len(kept) > LONGEST_NAME:
        raise JournalTrouble(f"A name has at most {LONGEST_NAME} letters. Write a shorter one.")
    return kept


class People:
    """The people of a record. Every method takes codes as typed and raises JournalTrouble with a sentence."""

    def __init__(self, journal: StationJournal) -> None:
        self._journal = journal

    @classmethod
    @contextmanager
    def at(cls, path: Path, clock: Clock, *, make: bool = True) -> Iterator[Self]:
        """The people of a record that is not open yet; it is closed afterwards."""
        with StationJournal(path, clock, make=make) as journal:
            yield cls(journal)

    def codes(self, role: Role | None = None) -> list[str]:
        """The codes known here, sorted; of one role, or all."""
        with self._journal.reading() as connection:
            rows = connection.execute(
                "SELECT code FROM people WHERE ?1 IS NULL OR role = ?1 ORDER BY code", (role,)
            ).fetchall()
        return [one_line(known) for (known,) in rows]

    def any_pin(self) -> bool:
        """Has any instructor a PIN?"""
        with self._journal.reading() as connection:
            sql = "SELECT EXISTS (SELECT 1 FROM people WHERE role = 'instructor' AND pin <> '')"
            return bool(connection.execute(sql).fetchone()[0])

    def all(self) -> list[Person]:
        """Everybody, sorted by code."""
        with self._journal.reading() as connection:
            return [_person(row) for row in connection.execute(f"{_SELECT} ORDER BY code")]

    def show(self, who: str) -> Person:
        """One person."""
        wanted = code_asked(who)
        with self._journal.reading() as connection:
            return _known(connection, wanted)

    def runs_of(self, who: str) -> list[Kept]:
        """The runs that somebody worked in, the newest first; those that were erased are not among them."""
        from trainer.record.find_run import of_person  # not wanted at a start

        return of_person(self._journal, code_asked(who))

    def add(self, who: str, name: str = "", *, instructor: bool = False, pin: str = "") -> Person:
        """List somebody; an instructor needs a PIN. Adds a name or a PIN to a trainee made at first use."""
        wanted, named = code_asked(who), _name(name)
        if instructor and not pin:
            raise JournalTrouble(f"An instructor needs a PIN: give {wanted} six digits or a phrase.")
        if pin and not instructor:
            raise JournalTrouble("Only an instructor has a PIN. Say --instructor, or leave the PIN out.")
        hashed = pins.hashed(pin) if pin else ""
        with self._journal.changing() as (connection, _, now):
            before = connection.execute("SELECT role, name FROM people WHERE code = ?", (wanted,)).fetchone()
            if before and (before[0] == "instructor" or (before[1] and not instructor)):
                raise JournalTrouble(f"{wanted} is listed already. Take another code, or rename {wanted}.")
            if before is None and instructor:
                _refuse_used(connection, wanted)
            connection.execute(
                "INSERT INTO people (code, role, name, added_at, pin) VALUES (?, ?, ?, ?, ?) "
                "ON CONFLICT (code) DO UPDATE SET role = excluded.role, pin = excluded.pin, "
                "name = coalesce(nullif(excluded.name, ''), name)",
                (wanted, "instructor" if instructor else "trainee", named, now, hashed),
            )
        return self.show(wanted)

    def rename(self, who: str, name: str) -> Person:
        """Correct a name; an empty one takes it away."""
        wanted, named = code_asked(who), _name(name)
        with self._journal.changing() as (connection, _, _now):
            _known(connection, wanted)
            connection.execute("UPDATE people SET name = ? WHERE code = ?", (named, wanted))
        return self.show(wanted)

    def may_have_pin(self, who: str) -> str:
        """The code of somebody who may be given a PIN; else JournalTrouble."""
        person = self.show(who)
        if person.role != "instructor":
            raise JournalTrouble(f"{person.code} is a trainee, and only an instructor has a PIN.")
        return person.code

    def set_pin(self, who: str, pin: str) -> Person:
        """Give an instructor another PIN; wrong tries are counted from nothing again."""
        wanted = self.may_have_pin(who)
        hashed = pins.hashed(pin)
        with self._journal.changing() as (connection, _, now):
            connection.execute("UPDATE people SET pin = ? WHERE code = ?", (hashed, wanted))
            pins.note_reset(connection, wanted, now)
        return self.show(wanted)

    def export(self, who: str) -> dict[str, object]:
        """All that is kept about one person, for JSON: row, runs, where else the code stands, PIN tries."""
        from trainer.record.erase import concerning  # as in `erase`
        from trainer.record.rebuild import KEPT

        wanted = code_asked(who)
        with self._journal.reading() as connection:
            person = _known(connection, wanted)
            own: dict[str, list[dict[str, object]]] = {}
            elsewhere: list[dict[str, object]] = []
            for (run, seq, _, body), how in concerning(connection.execute(KEPT), wanted):
                said = wire.event_to_json(unpacked(body, run, seq))
                if how == "own":
                    own.setdefault(run, []).append(said)
                else:
                    elsewhere.append(said)
            tries = connection.execute(
                "SELECT at, found FROM pin_tries WHERE instructor = ? ORDER BY number", (wanted,)
            ).fetchall()
        return {
            "format": 1,
            "person": {
                "code": person.code,
                "role": person.role,
                "name": person.name,
                "added_at": person.added_at,
            },
            "runs": [{"run": run, "events": events} for run, events in own.items()],
            "named_elsewhere": elsewhere,
            "pin_tries": [{"at": clean(at), "found": clean(found)} for at, found in tries],
        }

    def erase(self, who: str) -> Erased:
        """Take a person out of the record for good; see `erase` for what goes and what stays."""
        from trainer.record.erase import erase_person  # not wanted at a start, which reads codes only

        return erase_person(self._journal, code_asked(who))


_SELECT = (
    "SELECT code, role, name, added_at, pin <> '', "
    "(SELECT count(*) FROM runs WHERE handed = 0 AND trainee = code) + "
    "(SELECT count(DISTINCT run) FROM events WHERE person = code AND run IN "
    "(SELECT run FROM runs WHERE handed)), "
    "(SELECT count(*) FROM runs WHERE handed = 0 AND trainee = code AND excused <> '') + "
    "(SELECT count(DISTINCT run) FROM events WHERE person = code AND run IN "
    "(SELECT run FROM runs WHERE handed AND excused <> '')) FROM people"
)


def _person(row: tuple[str, Role, str, str, int, int, int]) -> Person:
    known, role, name, added_at, has_pin, runs, excused = row
    shown: Role = "instructor" if role == "instructor" else "trainee"  # a row may have been written by hand
    return Person(one_line(known), shown, one_line(name), one_line(added_at), bool(has_pin), runs, excused)


def _known(connection: sqlite3.Connection, wanted: str) -> Person:
    row = connection.execute(f"{_SELECT} WHERE code = ?", (wanted,)).fetchone()
    if row is None:
        raise JournalTrouble(
            f"Nobody here has the code {wanted}. See the codes with `sinkside record person show`."
        )
    return _person(row)


def _refuse_used(connection: sqlite3.Connection, wanted: str) -> None:
    """A code that stands on kept sign-offs must not come to mean somebody else."""
    from trainer.record.erase import names_person  # as above

    for (body,) in connection.execute("SELECT body FROM events WHERE body LIKE '%\"signed_off\"%'"):
        if names_person(body, wanted):
            raise JournalTrouble(
                f"The code {wanted} stands on sign-offs of somebody no longer listed. Take another code."
            )
