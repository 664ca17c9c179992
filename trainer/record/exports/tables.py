"""The record's tables as rows of plain values, whatever form they are then written in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Literal

from trainer.procedure.text import clean, one_line
from trainer.record import about, chain, schema
from trainer.record.exports.source import KeptEvent, Source
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble

Cell = str | int | float | bool | None
Kind = Literal["text", "whole", "number", "truth", "time"]
Told = Callable[[JournalTrouble], None]
"""Hears why a run had to be left out."""

EVENTS, PEOPLE, ABOUT = "events", "people", "about"
TRUTHS = frozenset(["rehearsal", "handed", "hit", "right", "passes"])
TIMES = frozenset(["at", "opened_at", "last_at", "closed_at", "stored", "added_at"])
_KINDS: dict[str, Kind] = {"INTEGER": "whole", "REAL": "number", "TEXT": "text"}


@frozen
class Column:
    """A column, and what its cells are; any of them may be missing (None)."""

    name: str
    kind: Kind


@frozen
class Table:
    """A table of the export. rows: gone through once, from the record, as they are written."""

    name: str
    columns: tuple[Column, ...]
    rows: Iterator[Sequence[Cell]]


def names_of(*, people: bool) -> list[str]:
    """The tables there are. people: with the one that holds names."""
    return [EVENTS, *schema.READ, ABOUT, *([PEOPLE] if people else [])]


def table(source: Source, name: str, told: Told) -> Table:
    """One table of the wanted part of the record. told: hears of what had to be left out."""
    if name == EVENTS:
        return Table(name, _EVENT_COLUMNS, _event_rows(source, told))
    if name == PEOPLE:
        return Table(name, _PEOPLE_COLUMNS, _people_rows(source))
    columns = _columns(source, name)
    if name == ABOUT:
        return Table(name, columns, _about_rows(source))
    return Table(name, columns, _rows(source, name, columns))


_EVENT_COLUMNS = (
    Column("run", "text"),
    Column("seq", "whole"),
    Column("id", "text"),
    Column("at", "time"),
    Column("stored", "time"),
    Column("trainee", "text"),
    Column("step", "text"),
    Column("kind", "text"),
    Column("body", "text"),
)
_PEOPLE_COLUMNS = (
    Column("code", "text"),
    Column("role", "text"),
    Column("name", "text"),
    Column("added_at", "time"),
)


def wanted_events(source: Source, told: Told) -> Iterator[tuple[str, KeptEvent]]:
    """Every wanted event with its run, in order. told: hears of runs that had to be left out."""
    for run in source.runs:
        try:
            kept = source.events(run)
        except JournalTrouble as trouble:
            told(trouble)
            continue
        for one in kept:
            if not source.wanted.trainees or one.person in source.wanted.trainees:
                yield run, one


def _event_rows(source: Source, told: Told) -> Iterator[Sequence[Cell]]:
    for run, one in wanted_events(source, told):
        event = one.event
        body = chain.canonical(one.body).decode("utf-8")
        at = event.stamp.at
        yield (run, event.seq, event.id, at, one.stored, one.person, event.step, event.body.kind, body)


def _people_rows(source: Source) -> Iterator[Sequence[Cell]]:
    """Who worked in the wanted runs, or all where everything is wanted."""
    for row in source.connection.execute("SELECT code, role, name, added_at FROM people ORDER BY code"):
        if not source.wanted.trainees or row[0] in source.wanted.trainees:
            yield tuple(one_line(cell) for cell in row)


def _about_rows(source: Source) -> Iterator[Sequence[Cell]]:
    """What is to be known of the record as a whole, such as that its class is invented."""
    yield from about.read(source.connection).items()


def _columns(source: Source, name: str) -> tuple[Column, ...]:
    """The columns that the record has, in its order."""
    rows = source.connection.execute(f"PRAGMA table_info({name})").fetchall()
    return tuple(Column(column, _kind(column, declared)) for _, column, declared, *_ in rows)


def _kind(column: str, declared: str) -> Kind:
    if column in TIMES:
        return "time"
    return "truth" if column in TRUTHS else _KINDS[declared]


def _rows(source: Source, name: str, columns: Sequence[Column]) -> Iterator[Sequence[Cell]]:
    """The rows of a table for reading, in the order of runs and of what happened in them."""
    there = {column.name for column in columns}
    order = [column for column in ("seq", "plate", "name") if column in there]
    wanted = sorted(source.wanted.trainees) if "trainee" in there and name != "runs" else []
    question = (
        f"SELECT {', '.join(f't.{column.name}' for column in columns)} FROM {name} AS t "  # noqa: S608 - our own tables
        "JOIN temp.wanted_runs AS w ON w.run = t.run"
    )
    if wanted:
        question += f" WHERE t.trainee IN ({', '.join('?' * len(wanted))})"
    question += f" ORDER BY {', '.join(['w.number', *(f't.{column}' for column in order)])}"
    for row in source.connection.execute(question, wanted):
        yield tuple(_cell(cell, column.kind, name) for cell, column in zip(row, columns, strict=True))


def _cell(cell: object, kind: Kind, name: str) -> Cell:
    """A cell as it is given out: text clean, true and false told from numbers."""
    match cell:
        case None:
            return None
        case str():
            return clean(cell)
        case int():
            return bool(cell) if kind == "truth" else float(cell) if kind == "number" else cell
        case float():
            return cell
    raise JournalTrouble(
        f"The table {name} holds what was never written there. Make it again with `sinkside record rebuild`."
    )
