"""`record doctor`: each thing that can be wrong with a station is made so, told, and mended as it says."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from packaging.specifiers import SpecifierSet
from tamper_kit import copied, fitting_body, sql, whole_record

from trainer import places
from trainer.cli import main
from trainer.record import chain, second_place
from trainer.record.doctor import files as doctor_files
from trainer.record.doctor import machine as doctor_machine
from trainer.record.doctor.asked import Asked, Screen
from trainer.record.doctor.examine import examine
from trainer.record.doctor.told import Told
from trainer.record.people import People
from trainer.run.fakes import FakeClock

SHOP = "format: 1\nstation: sink 1\n"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with closed, open and erased runs, and an instructor."""
    path = whole_record(tmp_path_factory.mktemp("whole"))
    with People.at(path, FakeClock()) as people:
        people.add("I-2", instructor=True, pin="481516")
    return path


@pytest.fixture
def asked(whole: Path, tmp_path: Path) -> Asked:
    """A sound station: its own copy of the record, a shop file, a terminal."""
    record = copied(whole, tmp_path)
    record.parent.chmod(0o700)
    shop = tmp_path / "shop.yaml"
    shop.write_text(SHOP, encoding="utf-8")
    clock = FakeClock()
    clock.pass_time(60.0)
    screen = Screen(80, 24, 256, "utf-8")
    environment = {"TERM": "xterm-256color"}
    folder = places.procedures_dir()
    return Asked(record, "--record", shop, folder, clock, environment, screen, "UTF-8", os.geteuid())


def found(asked: Asked, code: str) -> list[Told]:
    """What is told under a code; looking changed nothing of the station."""
    before = state_of(asked.record.parent)
    told = [one for one in examine(asked).told if one.code == code]
    assert state_of(asked.record.parent) == before
    return told


def state_of(folder: Path) -> dict[str, tuple[str, int, int]]:
    """Of each file of a folder: what is in it, its mode, when it was last written."""
    files = sorted(path for path in folder.rglob("*") if path.is_file()) if folder.exists() else []
    return {
        path.name: (
            hashlib.sha256(path.read_bytes()).hexdigest(),
            path.stat().st_mode,
            path.stat().st_mtime_ns,
        )
        for path in files
    }


def test_a_sound_station_is_fine(asked: Asked) -> None:
    """Nothing to mend, nothing unseen, and nothing changed by looking."""
    before = state_of(asked.record.parent)
    told = examine(asked)
    assert [one for one in told.told if one.state in ("mend", "unseen")] == []
    assert told.exit_code == 0
    assert told.summed_up().endswith("nothing to mend.")
    assert state_of(asked.record.parent) == before


def _other_key(record: Path) -> None:
    chain.key_path(record).write_text("ab" * 32 + "\n", encoding="ascii")


def _half_written(record: Path) -> None:
    """A program that is killed inside a transaction that has reached the file."""
    code = (
        "import os, sqlite3, sys\n"
        "c = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "c.execute('PRAGMA cache_size = 1')\n"
        "c.execute('BEGIN IMMEDIATE')\n"
        "c.execute('CREATE TABLE filler (x)')\n"
        "c.executemany('INSERT INTO filler VALUES (zeroblob(4000))', [()] * 200)\n"
        "os._exit(9)\n"
    )
    subprocess.run([sys.executable, "-c", code, str(record)], check=False)
    assert record.with_name(f"{record.name}-journal").stat().st_size


def _newer(record: Path) -> None:
    sql("INSERT INTO migrations (number, name, at) VALUES (99, 'later', 'x')")(record)


def _damaged(record: Path) -> None:
    """A page in the middle written over, as a dying disk does."""
    size = record.stat().st_size
    with record.open("r+b") as file:
        file.seek(size // 2 // 4096 * 4096)
        file.write(b"\xff" * 8192)


def _folder(record: Path) -> None:
    record.unlink()
    record.mkdir()


AILMENTS: dict[str, tuple[str, Callable[[Path], object]]] = {
    "others may read the record": ("modes", lambda record: record.chmod(0o644)),
    "others may read the key": ("modes", lambda record: chain.key_path(record).chmod(0o640)),
    "others may exchange the record": ("modes", lambda record: record.parent.chmod(0o777)),
    "the key is gone": ("key", lambda record: chain.key_path(record).unlink()),
    "the key is another": ("key", _other_key),
    "the key is none": ("key", lambda record: chain.key_path(record).write_text("not a key")),
    "the second place is gone": ("second-place", lambda record: second_place.path_of(record).unlink()),
    "the second place is garbled": (
        "second-place",
        lambda record: second_place.path_of(record).write_text("?\n"),
    ),
    "a draft of the key was left": ("left", lambda record: Path(f"{record}.key.0a1b2c3d").write_text("x")),
    "a probe of the disk was left": ("left", lambda record: Path(f"{record}.room-0a1b2c3d").write_text("x")),
    "a copy of a backup was left": (
        "left",
        lambda record: record.with_name(".sinkside-0a1b2c3d0a1b2c3d.part").write_bytes(record.read_bytes()),
    ),
    "another way of writing": ("left", lambda record: Path(f"{record}-wal").write_bytes(b"")),
    "a write was cut short": ("left", _half_written),
    "it was written by a newer program": ("schema", _newer),
    "the rules are gone": ("rules", lambda record: bare(record, "DROP TRIGGER events_never_change")),
    "an event was altered": ("chain", fitting_body),
    "a run is gone": ("chain", sql("DELETE FROM heads WHERE run = 'r1'")),
    "an end was cut off": ("chain", sql("DELETE FROM events WHERE run = 'r3' AND seq = 3")),
    "a table says something else": ("tables", sql("UPDATE attempts SET outcome = 'ok' WHERE run = 'r1'")),
    "it was emptied": ("place", lambda record: record.write_bytes(b"")),
    "it was taken away": ("place", lambda record: record.unlink()),
    "no database": ("record", lambda record: record.write_bytes(b"hello" * 400)),
    "a damaged disk": ("record", _damaged),
    "a folder in its place": ("place", _folder),
}
"""What is done to a sound record, and the code under which it has to be told."""


def bare(record: Path, statement: str) -> None:
    """One statement, as somebody with another tool would."""
    with closing(sqlite3.connect(record)) as connection:
        connection.execute(statement)
        connection.commit()


@pytest.mark.parametrize("ailment", AILMENTS)
def test_what_is_wrong_is_told_with_what_mends_it(asked: Asked, ailment: str) -> None:
    """Each ailment is told under its code, in a sentence, with what to do; looking changes nothing."""
    code, make = AILMENTS[ailment]
    make(asked.record)
    told = [one for one in found(asked, code) if one.state == "mend"]
    assert told, ailment
    assert all(one.said.endswith((".", "]")) and one.mend.endswith(".") for one in told)
    assert examine(asked).exit_code == 1


@pytest.mark.parametrize(
    "ailment", [name for name, (code, _) in AILMENTS.items() if code in ("modes", "tables")]
)
def test_the_command_mends_it(asked: Asked, ailment: str) -> None:
    """What the command says is done, and the station is fine again."""
    code, make = AILMENTS[ailment]
    make(asked.record)
    (told,) = [one for one in found(asked, code) if one.state == "mend"]
    if told.command.startswith("sinkside "):
        words = told.command.split()[1:]
        assert CliRunner().invoke(main, ["--record", str(asked.record), *words]).exit_code == 0
    else:
        subprocess.run(told.command, shell=True, check=True)  # noqa: S602 - it is what a person would type
    assert examine(asked).exit_code == 0


def test_what_was_cut_short_is_undone_by_verify(asked: Asked) -> None:
    """The command told for a write that was cut short undoes it, and nothing that was kept is gone."""
    _half_written(asked.record)
    assert found(asked, "left")[0].command == "sinkside record verify"
    assert CliRunner().invoke(main, ["--record", str(asked.record), "record", "verify"]).exit_code == 0
    assert examine(asked).exit_code == 0


def test_a_record_that_is_not_there_yet_is_no_illness(asked: Asked, tmp_path: Path) -> None:
    """A new station is told where its record will be, and none is made."""
    new = replace(asked, record=tmp_path / "new" / "record.db")
    assert [one.state for one in found(new, "place")] == ["note"]
    assert examine(new).exit_code == 0
    assert not new.record.parent.exists()


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"screen": Screen(79, 24, 256, "utf-8")}, "terminal"),
        ({"screen": Screen(80, 23, 256, "utf-8")}, "terminal"),
        ({"screen": Screen(80, 24, 256, "iso8859-1")}, "terminal"),
        ({"environment": {"TERM": "dumb"}}, "terminal"),
        ({"encoding": "ANSI_X3.4-1968"}, "locale"),
        ({"environment": {"TERM": "xterm", "SINKSIDE_LANG": "spanish please"}}, "language"),
        ({"environment": {"TERM": "xterm", "SINKSIDE_RECORDS": "x.db"}}, "variable"),
        ({"user": 12345678}, "modes"),
        ({"clock": FakeClock(at="1970-01-01T00:00:00.000Z")}, "clock"),
        ({"procedures": Path("/nowhere")}, "procedures"),
    ],
)
def test_what_is_wrong_with_the_machine_is_told(asked: Asked, changed: dict[str, object], code: str) -> None:
    """A small or deaf terminal, a locale, a misspelt variable, another owner, a dead clock, no procedures."""
    told = found(replace(asked, **changed), code)  # type: ignore[arg-type] # a field for each name
    assert "mend" in [one.state for one in told]
    assert all(one.mend for one in told if one.state == "mend")


def test_a_clock_that_was_put_back_is_told(asked: Asked) -> None:
    """The clock lies an hour before what was kept last."""
    late = FakeClock()
    late.pass_time(-3600.0)
    assert [one.state for one in found(replace(asked, clock=late), "clock")] == ["fine", "mend"]


def test_a_run_that_nobody_goes_on_with_is_told(asked: Asked) -> None:
    """An open run is told of after 30 days, and not before; it is nothing to mend."""
    clock = FakeClock()
    clock.pass_time(timedelta(days=29).total_seconds())
    assert found(replace(asked, clock=clock), "open-runs") == []
    clock.pass_time(timedelta(days=2).total_seconds())
    (told,) = found(replace(asked, clock=clock), "open-runs")
    assert told.state == "note"
    assert "T-03" in told.said


def test_a_wrong_shop_file_is_told_with_its_line(asked: Asked) -> None:
    """A misspelt key is told with line and column."""
    asked.shop.write_text("format: 1\nstatoin: sink 1\n", encoding="utf-8")
    (told,) = found(asked, "shop")
    assert (told.state, f"{asked.shop}:2:1" in told.said) == ("mend", True)


@pytest.mark.parametrize(
    ("numbers", "state", "said"),
    [
        ("negative-plate-two-burns: {exposure: 24}", "fine", "is read"),
        ("negative-plate-two-burns: {exposure: 900}", "mend", "no run of it can be opened: "),
        ("negative-plate-two-burns: {exposre: 24}", "note", "`exposre` is no setting"),
        ("negative-plate-two-burn: {exposure: 24}", "note", "Was negative-plate-two-burns meant?"),
    ],
)
def test_the_shops_numbers_are_held_to_their_procedures(
    asked: Asked, numbers: str, state: str, said: str
) -> None:
    """What would stop a run when it is opened is told beforehand, with line and column."""
    asked.shop.write_text(f"{SHOP}procedures:\n  {numbers}\n", encoding="utf-8")
    told = found(asked, "shop")
    assert (told[-1].state, said in told[-1].said) == (state, True), told
    assert state == "fine" or f"{asked.shop}:4:" in told[-1].said or "none of the shipped" in told[-1].said


def test_what_a_restore_put_aside_is_told(asked: Asked) -> None:
    """It may hold people who are erased since; the other files that belong to it are not counted."""
    for more in ("", ".key", ".heads"):
        asked.record.with_name(f"{asked.record.name}.aside-20260302-090000{more}").touch(mode=0o600)
    (told,) = found(asked, "aside")
    assert told.state == "note"
    assert told.said.count("aside-2026") == 1
    assert "people who are erased since" in told.said
    assert told.command == f"rm {asked.record}.aside-*"


def test_a_full_disk_is_told(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Less than a hundred megabytes free."""
    monkeypatch.setattr("shutil.disk_usage", lambda _: doctor_usage(10**8))
    assert found(asked, "disk")[0].state == "mend"
    monkeypatch.setattr("shutil.disk_usage", lambda _: doctor_usage(2 * 10**8))
    assert found(asked, "disk")[0].state == "fine"


def doctor_usage(free: int) -> object:
    """As `shutil.disk_usage` gives it."""
    return type("Usage", (), {"free": free})


def test_a_network_disk_is_told(asked: Asked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The record's folder is mounted by NFS: lines as of proc(5), the longest mount point counts."""
    mounts = tmp_path / "mounts"
    where = asked.record.parent.resolve()
    mounts.write_text(f"disk / ext4 rw 0 0\nserver:/x {where} nfs4 rw 0 0\n", encoding="utf-8")
    monkeypatch.setattr(doctor_files, "_MOUNTS", mounts)
    assert found(asked, "place")[0].state == "mend"
    mounts.write_text(f"server:/x / nfs4 rw 0 0\ndisk {where} ext4 rw 0 0\n", encoding="utf-8")
    assert found(asked, "place")[0].state == "fine"


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_folder_that_may_not_be_looked_into_is_said(asked: Asked) -> None:
    """Without the right to look, that is said, and the exit code is 2 or 1, never 0."""
    asked.record.parent.chmod(0)
    try:
        assert examine(asked).exit_code != 0
    finally:
        asked.record.parent.chmod(0o700)


@pytest.mark.parametrize("version", ["1.2.9", "1.3", "1.3.0", "1.3.1", "2", "2.0.1", "10.0", "0.9"])
@pytest.mark.parametrize("demanded", [">=1.3,<2", ">1.3", "<=1.3", "==1.3", "!=1.3", "~=1.3", ">=1.3.1", ""])
def test_versions_are_compared_as_the_standard_says(version: str, demanded: str) -> None:
    """PEP 440, against its reference implementation (`packaging`)."""
    assert doctor_machine.within(version, demanded) == SpecifierSet(demanded).contains(version)


def test_a_library_that_does_not_fit_is_told(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """One missing and one too old are both named; extras are not wanted of a station."""
    wanted = ["click>=99,<100", "no-such-library-anywhere>=1", "pytest>=99; extra == 'tests'"]
    monkeypatch.setattr("importlib.metadata.requires", lambda _: wanted)
    (told,) = found(asked, "libraries")
    assert told.state == "mend"
    assert "click is " in told.said
    assert "no-such-library-anywhere is missing" in told.said
    assert "pytest" not in told.said


def test_the_command_talks_to_people_and_programs(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Text sums up; JSON holds the same; the exit code is 1 where there is something to mend."""
    monkeypatch.setenv("SINKSIDE_SHOP", str(asked.shop))
    asked.record.chmod(0o644)
    told = CliRunner().invoke(main, ["--record", str(asked.record), "record", "doctor"])
    assert told.exit_code == 1
    assert f"chmod 600 {asked.record}" in told.stdout
    as_json = CliRunner().invoke(main, ["--record", str(asked.record), "record", "doctor", "--json"])
    data = json.loads(as_json.stdout)
    assert data["exit"] == as_json.exit_code == 1
    assert "modes" in {one["code"] for one in data["looked_at"] if one["state"] == "mend"}


def test_sentences_are_broken_to_the_terminal_and_commands_are_not(asked: Asked) -> None:
    """In 60 columns every line of words fits, and what can be typed stands on one line, whole."""
    chain.key_path(asked.record).unlink()
    told = examine(asked)
    lines = told.as_text(60).splitlines()
    commands = {one.command for one in told.told if one.command}
    assert commands <= {line.strip() for line in lines}
    paths = str(asked.record.parent.parent)
    assert [
        line for line in lines if len(line) > 60 and line.strip() not in commands and paths not in line
    ] == []
    assert " ".join(" ".join(lines).split()) == " ".join(told.as_text().split())


def test_a_misspelt_variable_is_told_with_what_was_meant(asked: Asked) -> None:
    """One letter is missing."""
    (told,) = found(replace(asked, environment={"TERM": "xterm", "SINKSIDE_RECRD": "x"}), "variable")
    assert told.mend == "Is SINKSIDE_RECORD meant?"


def test_a_wrong_bench_file_is_told(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """The shop's numbers for the bench are read as a rehearsal reads them."""
    monkeypatch.setenv("SINKSIDE_SHOP", str(asked.shop))
    (asked.shop.parent / "bench.yaml").write_text("lampp: {}\n", encoding="utf-8")
    told = CliRunner().invoke(main, ["--record", str(asked.record), "record", "doctor", "--json"])
    states = {one["code"]: one["state"] for one in json.loads(told.stdout)["looked_at"]}
    assert states["bench"] == "mend"
