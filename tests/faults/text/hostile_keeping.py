"""Where what is kept leaves the program in files: what comes of a hostile text there."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from contextlib import closing, redirect_stderr, redirect_stdout, suppress
from datetime import date
from pathlib import Path
from sqlite3 import connect

from hostile_texts import EVERYTHING, FORGED, MARK
from record_kit import station_with_a_run

from trainer import cli
from trainer.commands import serve
from trainer.record import schema
from trainer.record.doctor.asked import quoted
from trainer.record.doctor.told import Diagnosis, mend
from trainer.record.exports import tables
from trainer.record.exports.source import Wanted, exported
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.restore import Lost
from trainer.record.retention import too_old
from trainer.run.fakes import FakeClock
from trainer.serving.session import last_words

LINE = f"{MARK}{EVERYTHING}{FORGED}".encode("utf-8", "replace").decode()
NAME = f"{MARK}\x1b]0;owned\x07\x1b[31m\x9b2J\x85\u202e\u200b\u2028\x7f\udcff [x]{FORGED}"

Probe = Callable[[Path], str]
_AT = "2026-03-02T09:00:00.000Z"


def _tampered(folder: Path, change: str) -> Path:
    """A record with one whole run, changed by a statement with `?` for a hostile text."""
    station = station_with_a_run(folder)
    with station.open() as journal:
        People(journal).rename("T-01", "Somebody")
    with closing(connect(station.path)) as connection:
        connection.execute("DROP TRIGGER events_never_change")
        connection.execute(change, (LINE,) * change.count("?"))
        connection.execute(schema.EVENT_TRIGGERS["events_never_change"])
        connection.commit()
    return station.path


def _source(folder: Path) -> str:
    with exported(_tampered(folder, "UPDATE people SET name = ?, code = ?"), Wanted(), _AT) as source:
        return f"{source.names()}".replace("\\n", "\n") + "".join(source.names().values())


def _tables(folder: Path) -> str:
    path = _tampered(folder, "UPDATE runs SET job = ?, colour = ?")
    with exported(path, Wanted(), _AT) as source:
        rows = tables.table(source, "runs", lambda _: None).rows
        return " ".join(str(cell).replace("\n", " ") for row in rows for cell in row)


def _export(folder: Path) -> str:
    path = _tampered(folder, "UPDATE people SET name = ?")
    argv = ["export", "--record", str(path), "--as", "csv", "--table", "runs", "--into", str(folder / NAME)]
    with redirect_stderr(io.StringIO()) as told, suppress(SystemExit):
        cli.main(argv, standalone_mode=False)
    return told.getvalue()


def _retention(folder: Path) -> str:
    path = _tampered(folder, "UPDATE runs SET trainee = ?")
    with StationJournal(path, FakeClock()) as journal:
        return f"{too_old(journal, date(2100, 1, 1)).shares}" + "".join(
            share.trainee for share in too_old(journal, date(2100, 1, 1)).shares
        )


def _restore(folder: Path) -> str:
    del folder
    return Lost(LINE, LINE, 1, 1, 1).words()


def _keeping(folder: Path) -> str:
    path = _tampered(folder, "UPDATE people SET name = ?")
    argv = ["record", "--record", str(path), "backup", str(folder / NAME)]
    with redirect_stdout(io.StringIO()) as told:
        cli.main(argv, standalone_mode=False)
    return told.getvalue().rstrip("\n")


def _doctor(folder: Path) -> str:
    del folder
    return Diagnosis((mend("x", LINE, LINE, LINE),)).as_text().replace("\n", " ")


def _doctor_asked(folder: Path) -> str:
    del folder
    return quoted(NAME)


def _session(folder: Path) -> str:
    del folder
    return last_words(LINE.encode()).replace("\n", " ")


def _serve(folder: Path) -> str:
    del folder
    with redirect_stderr(io.StringIO()) as told:
        serve._tell(LINE)
    return told.getvalue().rstrip("\n")


KEEPING: Mapping[str, Probe] = {
    "trainer.record.exports.source": _source,
    "trainer.record.exports.tables": _tables,
    "trainer.commands.export": _export,
    "trainer.record.retention": _retention,
    "trainer.record.restore": _restore,
    "trainer.commands.keeping": _keeping,
    "trainer.record.doctor.told": _doctor,
    "trainer.serving.session": _session,
    "trainer.commands.serve": _serve,
    "trainer.record.doctor.asked": _doctor_asked,
}
"""By module that cleans: what comes out where a hostile text goes in."""
