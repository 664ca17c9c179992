"""What an export consists of: which files, in which form, with which parts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Literal

from trainer.record.codes import code
from trainer.record.exports.csv_text import csv_parts
from trainer.record.exports.json_lines import event_lines, row_lines
from trainer.record.exports.naming import HOME_PAGE, home_page
from trainer.record.exports.source import Source, Wanted
from trainer.record.exports.tables import PEOPLE, Table, Told, names_of, table
from trainer.run.frozen import frozen
from trainer.run.ports import Trouble

Form = Literal["csv", "json-lines", "parquet", "xapi"]
SUFFIX: Mapping[Form, str] = {"csv": ".csv", "json-lines": ".jsonl", "parquet": ".parquet", "xapi": ".json"}


@frozen
class Choice:
    """How to export. table: one only; None: all, or the one stream that json-lines and xapi are.

    bom: None where it goes by where the file goes. home: None for our own reserved name.
    """

    form: Form
    table: str | None = None
    names: bool = False
    home: str | None = None
    bom: bool | None = None
    comma: bool = False

    @property
    def many(self) -> bool:
        """Whether it is a folder of files."""
        return self.table is None and self.form in ("csv", "parquet")


def wanted(trainees: Sequence[str], procedure: str | None, since: date | None, until: date | None) -> Wanted:
    """The part of the record, from words as typed. Raises Trouble."""
    if since is not None and until is not None and since > until:
        raise Trouble(f"--since {since} comes after --until {until}: no day is between them.")
    if until == date.max:
        until = None
    try:
        return Wanted(frozenset(map(code, trainees)), procedure, since, until)
    except ValueError as error:
        raise Trouble(f"--trainee: {error}") from error


def refuse_what_does_not_go(choice: Choice) -> None:
    """Raises Trouble where options were given that this form has no use for."""
    if choice.form == "xapi" and choice.table is not None:
        raise Trouble("Statements (--as xapi) are made of all events: leave --table out.")
    if choice.form != "xapi" and choice.home is not None:
        raise Trouble("--home-page is for statements only: say --as xapi, or leave it out.")
    if choice.form != "csv" and (choice.comma or choice.bom is not None):
        raise Trouble("--bom, --no-bom and --decimal-comma are for --as csv only.")
    if choice.table == PEOPLE and not choice.names:
        raise Trouble("The table people holds names: say --names too if they are to be in the export.")
    if choice.names and not (choice.many or choice.form == "xapi" or choice.table == PEOPLE):
        raise Trouble("Names stand in the table people only: say --table people, or leave --names out.")


def one_file(source: Source, choice: Choice, told: Told, *, bom: bool) -> Iterable[bytes]:
    """The parts of the one file of an export. bom: where nothing is said of it. Raises Trouble."""
    refuse_what_does_not_go(choice)
    if choice.form == "xapi":
        from trainer.record.exports.xapi import statement_parts  # CEL comes with the procedures' files

        home = HOME_PAGE if choice.home is None else home_page(choice.home)
        return statement_parts(source, home, told, names=choice.names)
    if choice.table is None:
        return event_lines(source, told)
    known = names_of(people=True)
    if choice.table not in known:
        raise Trouble(f"There is no table {choice.table[:60]}. There are: {', '.join(known)}.")
    return _in_form(table(source, choice.table, told), choice, bom=bom)


def all_files(source: Source, choice: Choice, folder: Path, told: Told) -> dict[Path, Iterable[bytes]]:
    """The parts of every file of an export into a folder. Raises Trouble."""
    refuse_what_does_not_go(choice)
    suffix = SUFFIX[choice.form]
    return {
        folder / f"{name}{suffix}": _in_form(table(source, name, told), choice, bom=True)
        for name in names_of(people=choice.names)
    }


def _in_form(rows: Table, choice: Choice, *, bom: bool) -> Iterable[bytes]:
    if choice.form == "csv":
        return csv_parts(rows, bom=bom if choice.bom is None else choice.bom, comma=choice.comma)
    if choice.form == "json-lines":
        return row_lines(rows)
    return _parquet(rows)


def _parquet(rows: Table) -> Iterator[bytes]:
    from trainer.record.exports.parquet import parquet_bytes  # polars, 170 ms

    yield parquet_bytes(rows)
