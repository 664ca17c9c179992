"""Every command with hostile words, files, rows and variables: what it says is harmless."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hostile_commands import DEEP, World, commands, full_record, hostile_calls, said, tables, tamper
from hostile_sources import LINE, NAME
from hostile_texts import MARK, json_leaks, leaks

from trainer import cli, places
from trainer.record import findings

TABLES = {
    *("migrations", "station", "procedures", "events", "heads", "erasures", "leases", "people", "pin_tries"),
    *("runs", "attempts", "answers", "readings", "exposures", "visits", "plates", "signatures", "settings"),
    *("standing", "about"),
}
READING = [
    ("run", "--plain"),
    *(call for path in DEEP if path.startswith(("record", "export")) for call in DEEP[path]),
]
"""Calls that read the record."""
VARIABLES = (
    *("SINKSIDE_HOME", "SINKSIDE_RECORD", "SINKSIDE_SHOP", "SINKSIDE_LANG", "SINKSIDE_STATION"),
    "SINKSIDE_SHARED",
)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with rows in every table."""
    return full_record(tmp_path_factory.mktemp("whole"))


@pytest.fixture(autouse=True)
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Hostile names of files are names in a folder of the test's own."""
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def world(tmp_path: Path, whole: Path, monkeypatch: pytest.MonkeyPatch) -> World:
    """Hostile files, and a copy of the record that commands use."""
    made = World(tmp_path)
    made.take(whole)
    monkeypatch.setenv("SINKSIDE_RECORD", str(made.record))
    monkeypatch.setattr("trainer.serving.server.run", served)
    return made


async def served(_serving: object, _address: str, _port: int, ready: Callable[[], None]) -> None:
    """A server that says where it is and ends: a real one would wait for browsers."""
    ready()


def test_every_command_table_and_variable_is_in_a_table(whole: Path) -> None:
    """A new command, table of the record or variable of the environment has to be added here."""
    assert DEEP.keys() == {" ".join(path) for path, _ in commands()}, "hostile_commands.DEEP"
    assert tables(whole).keys() == TABLES
    assert set(VARIABLES) == places.VARIABLES.keys()


@pytest.mark.parametrize("path", DEEP)
@pytest.mark.sweep(quick=12)
def test_a_hostile_command_line_is_quoted_as_text(path: str, world: World) -> None:
    """Each option and argument of a command with a hostile value: what is said of it has nothing of it."""
    argv = tuple(path.split())
    command = dict(commands())[argv]
    for call in hostile_calls(argv, command):
        assert leaks(world.call(call)) == [], call[len(argv) :]


@pytest.mark.parametrize("path", DEEP)
@pytest.mark.sweep(quick=10)
def test_hostile_files_are_named_as_text(path: str, world: World) -> None:
    """Commands that get to hostile files and folders say harmless things of them; JSON can be read.

    A call for JSON that could not do its work writes none, and says why on stderr.
    """
    for call in DEEP[path]:
        written, beside = world.told(call)
        assert leaks(f"{written}\n{beside}") == [], call
        if "--json" in call:
            assert json_leaks(written) == [] if written else beside, call


@pytest.mark.parametrize("table", sorted(TABLES))
@pytest.mark.sweep(quick=6)
def test_hostile_rows_are_shown_as_text(table: str, world: World, whole: Path) -> None:
    """A record with hostile texts in every column of one table: no command that reads it lets them out."""
    tamper(world.record, table, tables(whole)[table])
    for call in READING:
        assert leaks(world.call(call)) == [], call


def test_findings_quote_hostile_rows(world: World, whole: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`verify` shows the altered name of a run as text; with its cleaning taken out, a control is found."""
    tamper(world.record, "heads", tables(whole)["heads"])
    told = said("record", "verify")
    assert MARK in told
    assert leaks(told) == []
    monkeypatch.setattr(findings, "one_line", str)
    assert leaks(said("record", "verify"))


@pytest.mark.parametrize("variable", VARIABLES)
@pytest.mark.parametrize("kind", ["nothing", "a folder", "a file"])
@pytest.mark.sweep(quick=5)
def test_hostile_variables_are_quoted_as_text(
    variable: str, kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A variable that names a hostile path, of a file, a folder or nothing: no command lets it out."""
    place = tmp_path / NAME
    if kind == "a folder":
        place.mkdir()
    elif kind == "a file":
        place.write_text(f"a: {LINE}", encoding="utf-8", errors="surrogatepass")
    monkeypatch.setenv(variable, LINE if variable == "SINKSIDE_LANG" else str(place))
    opened = ("run", "--plain", "exposure-test", "--trainee", "T-01", "--guidance", "full")
    for call in (opened, ("run", "--plain"), ("record", "verify"), ("record", "rebuild")):
        assert leaks(said(*call, typed="q\nq\n")) == [], call
    second = place / "record.db.heads"
    if second.exists():
        second.unlink()
        told = said("record", "verify")
        assert MARK in told
        assert leaks(told) == []


def test_a_language_that_is_none_is_english(monkeypatch: pytest.MonkeyPatch) -> None:
    """SINKSIDE_LANG is taken where it is a code of a language, and is `en` where it is anything else."""
    for asked, taken in {"es": "es", "pt-BR": "pt-BR", LINE: "en", "e\x9bs": "en", "\udcff": "en"}.items():
        monkeypatch.setenv("SINKSIDE_LANG", asked)
        assert places.language() == taken


def test_a_fault_nobody_foresaw_is_told_as_text(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error with a hostile message: stderr and the log have it as text."""
    told: list[str] = []
    monkeypatch.setattr("sys.stderr", type("Told", (), {"write": told.append, "flush": lambda _: None})())
    error = KeyError(LINE)
    cli.unforeseen(KeyError, error, None)
    log = places.log_path().read_text(encoding="utf-8")
    assert MARK in log
    assert leaks(log + "".join(told)) == []
    del world


def test_json_says_what_the_rows_say(world: World) -> None:
    """What `export` writes can be read, and its texts are clean too."""
    written = said("record", "person", "export", "T-01")
    assert json.loads(written)["person"]["code"] == "T-01"
    assert json_leaks(written) == []
    del world
