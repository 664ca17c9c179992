"""Every command of the program, called with hostile texts, and the worlds that they are called in."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path

import click
from click.testing import CliRunner
from hostile_procedure import write
from hostile_sources import LINE, NAME
from tamper_kit import whole_record

from trainer.cli import main

Argv = tuple[str, ...]


def commands(command: click.Command = main, path: Argv = ()) -> Iterator[tuple[Argv, click.Command]]:
    """Every command and group, with the words that call it."""
    yield path, command
    if isinstance(command, click.Group):
        for name, below in command.commands.items():
            yield from commands(below, (*path, name))


def hostile_calls(path: Argv, command: click.Command) -> Iterator[Argv]:
    """A call for each option and argument that takes a value, with a hostile one; and two that are wrong."""
    needed = [LINE for param in command.params if isinstance(param, click.Argument) and param.required]
    for param in command.params:
        if isinstance(param, click.Argument):
            yield (*path, *(needed or [LINE]))
        elif isinstance(param, click.Option) and not param.is_flag:
            yield (*path, *needed, param.opts[0], LINE)
    yield (*path, f"--{LINE}")
    yield (*path, *needed, LINE, LINE)


def said(*argv: str, typed: str = "") -> str:
    """All that a call says, on stdout and stderr. Raises what only a fault raises."""
    return "\n".join(told(*argv, typed=typed))


def told(*argv: str, typed: str = "") -> tuple[str, str]:
    """What a call says on stdout, and on stderr. Raises what only a fault raises."""
    result = CliRunner().invoke(main, argv, input=typed)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.stdout, result.stderr


DEEP: Mapping[str, tuple[Argv, ...]] = {
    "": (("--version",),),
    "run": (
        ("run", "--plain"),
        ("run", "--plain", "{file}", "--trainee", "T-01", "--guidance", "full"),
        ("run", "--plain", "{folder}", "--trainee", "T-01", "--guidance", "full"),
        (
            *("run", "--plain", "--new", "exposure-test", "--trainee", "T-01", "--guidance", "full"),
            *("--job", LINE, "--colour", LINE),
        ),
    ),
    "faults": (
        ("faults", "--list"),
        ("faults", "--json"),
        ("faults", "--plain", "--trainee", "T-01", "--seed", "3"),
        ("faults", "--plain", "--trainee", LINE),
    ),
    "check": (
        ("check", "{file}", "{folder}", "{missing}"),
        ("check", "--json", "{file}", "{folder}", "{missing}"),
        ("check", "--format", "sarif", "{file}", "{folder}", "{missing}"),
        ("check", "--fix", "{file}", "{missing}"),
        ("check", "-", "--as", LINE),
    ),
    "schema": (("schema",),),
    "serve": (
        ("serve", "--record", "{file}"),
        ("serve", "--listen", "192.0.2.1", "--token-file", "{folder}"),
        ("serve", "--listen", "192.0.2.1", "--token-file", "{folder}token"),
        ("serve", "--public", LINE, "--name", LINE),
    ),
    "completion": (("completion", "zsh"), ("completion", LINE)),
    "demo": (
        ("demo", "--runs", "1", "--wet", "--truth", "--into", "{missing}"),
        ("demo", "--runs", "1", "--wet", "--into", "{file}"),
        ("demo", "--runs", "1", "--into", "{folder}"),
    ),
    "walk": (("walk", "{folder}", "{missing}"), ("walk", "--json", "{folder}", "{missing}")),
    "guide": (("guide", LINE),),
    "export": (
        ("export", "--as", "csv", "--table", "events"),
        ("export", "--as", "csv", "--table", "people", "--names"),
        ("export", "--as", "csv", "--into", "{folder}", "--force"),
        ("export", "--as", "csv", "--into", "{file}"),
        ("export", "--as", "json-lines", "--into", "{missing}/x"),
        ("export", "--as", "json-lines"),
        ("export", "--as", "json-lines", "--table", LINE),
        ("export", "--as", "parquet", "--table", "runs", "--into", "{missing}"),
        ("export", "--as", "xapi", "--names"),
        ("export", "--as", "xapi", "--home-page", LINE),
        ("export", "--as", "xapi", "--procedure", LINE, "--trainee", LINE),
    ),
    "map": (
        ("map", "{file}"),
        ("map", "--as", "svg", "{file}"),
        ("map", "--compare", "{file}", "{missing}"),
        ("map", "exposure-test", "--out", "{file}"),
    ),
    "new": (
        ("new", LINE),
        ("new", "begun", "--title", LINE, "--summary", LINE, "--into", "{folder}"),
        ("new", "listed", "--from", "{file}", "--into", "{folder}"),
        ("new", "none", "--from", "{missing}", "--into", "{missing}"),
    ),
    "paper": (("paper", "{file}"), ("paper", "{missing}"), ("paper", "exposure-test", "--out", "{file}")),
    "report": (
        ("report",),
        ("report", "--trainee", "T-01"),
        ("report", "--trainee", LINE, "--procedure", LINE),
        ("report", "--out", "{file}"),
        ("report", "--out", "{missing}/x"),
    ),
    "preview": (("preview", "{file}"), ("preview", "{missing}"), ("preview", "{folder}")),
    "review": (("review",), ("review", "--record", "{file}")),
    "record": (("record",),),
    "record verify": (("record", "verify"), ("record", "verify", "--json")),
    "record as-walk": (("record", "as-walk"), ("record", "as-walk", "r1"), ("record", "as-walk", LINE)),
    "record plate": (
        ("record", "plate", "r1", "--out", "{missing}"),
        ("record", "plate", LINE, "--out", LINE),
    ),
    "record rebuild": (("record", "rebuild"),),
    "record doctor": (("record", "doctor"), ("record", "doctor", "--json")),
    "record forward": (
        ("record", "forward"),
        ("record", "forward", "--json"),
        ("record", "--record", "{file}", "forward"),
    ),
    "record shared": (("record", "shared"),),
    "record shared setup": (
        ("record", "shared", "--credential", "{file}", "setup"),
        ("record", "shared", "--credential", "{folder}", "setup", "--keeper", LINE),
        ("record", "shared", "setup", "--keeper", "office", "--into", "{file}"),
    ),
    "record shared months": (("record", "shared", "--credential", "{missing}", "months"),),
    "record shared register": (
        ("record", "shared", "register", "--school", LINE, "--station", LINE),
        ("record", "shared", "register", "--school", "N", "--station", "s", "--into", "{folder}"),
    ),
    "record shared retire": (("record", "shared", "retire", "--school", LINE, "--station", LINE),),
    "record shared reviewer": (
        ("record", "shared", "reviewer", LINE, "--school", LINE),
        ("record", "shared", "reviewer", LINE, "--remove"),
        ("record", "shared", "reviewer", "x"),
    ),
    "record shared stations": (("record", "shared", "--credential", "{file}", "stations"),),
    "record shared erase": (
        ("record", "shared", "erase", LINE, "--school", LINE, "--yes"),
        ("record", "shared", "erase", "--asked", "--yes"),
    ),
    "record shared conflicts": (
        ("record", "shared", "conflicts", "--school", LINE, "--station", LINE),
        ("record", "shared", "--credential", "{file}", "conflicts", "--all", "--json"),
    ),
    "record shared settle": (
        ("record", "shared", "settle", LINE, "--keep", "here", "--why", LINE),
        ("record", "shared", "--credential", "{missing}", "settle", "--again"),
    ),
    "record shared verify": (
        ("record", "shared", "verify", "--key", "{file}"),
        ("record", "shared", "verify", "--school", LINE, "--station", LINE),
    ),
    "record note": (("record", "note", "r1", "--text", LINE), ("record", "note", LINE, "--text", "x")),
    "record excuse": (
        ("record", "excuse", "r1", "--reason", LINE),
        ("record", "excuse", LINE, "--reason", "x"),
    ),
    "record sign": (
        ("record", "sign", "r1", "--of", LINE, "--word", "passed"),
        ("record", "sign", LINE, "--word", "not-yet"),
    ),
    "record backup": (
        ("record", "backup", "{missing}"),
        ("record", "backup", "{missing}"),
        ("record", "backup", "{folder}"),
        ("record", "backup", "{file}", "--without-key"),
    ),
    "record restore": (
        ("record", "restore", "{missing}none"),
        ("record", "restore", "{file}"),
        ("record", "restore", "{folder}", "--yes"),
        ("record", "restore", "{missing}", "--yes"),
    ),
    "record retention": (
        ("record", "retention", "--older-than", LINE),
        ("record", "retention", "--older-than", "30d"),
        ("record", "retention", "--older-than", "3y", "--yes"),
    ),
    "record person": (("record", "person"),),
    "record person add": (("record", "person", "add", "T-88", "--name", LINE),),
    "record person show": (("record", "person", "show"), ("record", "person", "show", "T-01")),
    "record person rename": (("record", "person", "rename", "T-01", LINE),),
    "record person mistyped": (
        ("record", "person", "mistyped", "T-01", "T-02"),
        ("record", "person", "mistyped", LINE, "T-02", "--run", LINE),
    ),
    "record person pin": (("record", "person", "pin", "T-01"), ("record", "person", "pin", LINE)),
    "record person export": (("record", "person", "export", "T-01"),),
    "record person erase": (
        ("record", "person", "erase", LINE),
        ("record", "person", "erase", "T-01", "--yes"),
    ),
    "calc": (("calc",),),
    "calc exposure": (("calc", "exposure", "--bench", "{file}", "--units", "24 units"),),
    "calc vacuum": (("calc", "vacuum", "--bench", "{file}", "--altitude", "240 m"),),
    "calc tone": (("calc", "tone", "--tint", LINE),),
    "calc register": (("calc", "register", "--bench", "{file}", "--length", "400 mm"),),
    "calc developer": (("calc", "developer", "--bench", "{file}", "--volume", "75 mL"),),
    "calc gum": (("calc", "gum", "--baume", "14", "--volume", LINE),),
}
"""By command: calls that get past the command line, to files, folders and records that are hostile."""


class World:
    """A folder of hostile files, and a record in which one table was written into by hand."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / NAME
        self.file = write(self.folder, LINE, NAME)
        (self.folder / f"walk {NAME}.yaml").write_text(
            "walk: 1\nname: '[x] 5 [cm]'\nprocedure: exposure-test\nacts:\n  - accept\n", encoding="utf-8"
        )
        self.record = folder / "record.db"

    def take(self, record: Path) -> None:
        """A copy of a record, with its key and its second place."""
        for beside in record.parent.iterdir():
            shutil.copy(beside, self.record.parent / beside.name)
        self.record = self.record.parent / record.name

    def call(self, argv: Argv) -> str:
        """What a call with this world's names says, on stdout and stderr."""
        return "\n".join(self.told(argv))

    def told(self, argv: Argv) -> tuple[str, str]:
        """What a call with this world's names says on stdout, and on stderr."""
        names = {"{file}": str(self.file), "{folder}": str(self.folder), "{missing}": f"{self.folder}x"}
        return told(*(names.get(word, word) for word in argv), typed="q\nq\nq\n")


def full_record(folder: Path) -> Path:
    """A record with rows in every table that a text can stand in."""
    record = whole_record(folder)
    with closing(sqlite3.connect(record)) as connection:
        connection.execute(
            "INSERT INTO pin_tries (instructor, at, boot, ticks_ms, found) "
            "VALUES ('T-01', 'x', '', 0, 'reset')"
        )
        connection.execute("INSERT INTO about VALUES ('kept by', 'x')")
        connection.commit()
    return record


def tables(record: Path) -> dict[str, list[str]]:
    """The tables of a record, and the columns of each that hold a text."""
    with closing(sqlite3.connect(record)) as connection:
        names = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
        )
        return {
            name: [
                column
                for _, column, kind, *_ in connection.execute(f"PRAGMA table_info({name})")
                if kind == "TEXT"
            ]
            for (name,) in names.fetchall()
        }


def tamper(record: Path, table: str, columns: list[str], text: str = LINE) -> None:
    """Add a hostile text to every text of a table, its rules lifted; in an event's body, inside the JSON."""
    plain = text.encode("utf-8", "replace").decode()
    with closing(sqlite3.connect(record)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        sets = ", ".join(f"{column} = {column} || ?" for column in columns if column != "body")
        if sets:
            count = connection.execute(f"UPDATE {table} SET {sets}", (plain,) * sets.count("?")).rowcount  # noqa: S608 - our own tables
            assert count, table
        if "body" in columns:
            raw = "".join(sign for sign in plain if sign >= " ").replace("\\", "").replace('"', "")
            change = f"UPDATE {table} SET body = replace(body, 'Tide card', ?)"  # noqa: S608 - our own tables
            connection.execute(change, (f"Tide card{raw}",))
        connection.commit()
