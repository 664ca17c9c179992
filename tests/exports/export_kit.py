"""A record with every kind of event in it, as exports are tried on it; and what their files say."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from record_kit import SHORT_RUN, SOURCE, Station, opened, real_hash, short_run, shown

from trainer.cli import main
from trainer.record.people import People
from trainer.run import events as e
from trainer.run.fault_events import FaultFound, PracticeMeasured, PracticePlate

HOSTILE = '=HYPERLINK("https://bad.example","Pay")'
NAME = "Zelda Q. Invented"

RUN = "019cadc6-a250-71c3-bf9b-974e4ff040aa"
"""A run of two people, with an act of every kind, closed."""
EXCUSED = "019cadc6-a250-71c3-bf9b-974e4ff040bb"

EVERY: tuple[tuple[str | None, e.Body], ...] = (
    *SHORT_RUN,
    ("sign", e.Moved("burn", "finished")),
    ("burn", shown("wait", visit=2)),
    ("burn", e.WaitBegun("window", at_least=30.0, at_most=90.0)),
    ("burn", e.WaitWarned("late")),
    ("burn", e.WaitEnded("late", 95.5)),
    ("burn", e.Moved("look", "guard")),
    ("look", shown("judge", visit=2)),
    ("look", e.Judged("tint", "tinted", right=False)),
    ("look", e.Moved("look", "again")),
    ("look", e.NextOffered(("draw-down", "burn"), "burn")),
    ("look", e.NextPicked("draw-down", right=False, skill="contact")),
    ("look", e.NoteAdded("T-01", HOSTILE)),
    ("look", e.Paused()),
    ("look", e.Resumed("paused")),
    ("look", e.PlateMade(1, passes=False, sheet={"solid": 5.5, "side": "emulsion", "marks": True})),
    ("look", e.PlateSpoiled(1, "vacuum", "- dust on the glass", "draw-down")),
    ("look", e.Moved("draw-down", "spoiled")),
    ("draw-down", e.RunHandedOver("T-01", "T-02")),
    ("draw-down", shown(plate=2)),
    ("draw-down", e.QuizAnswered("why", "number", ("-2.5",), right=True)),
    ("draw-down", e.WorkedOut("exposure", 24.0, "units", "24 x 1")),
    ("draw-down", e.SettingOffered("exposure", 24.0, 26.0, "units", fits=True)),
    ("draw-down", e.SettingChanged("exposure", 24.0, 26.0, "units", "I-1")),
    ("draw-down", e.SignOffRefused("I-1", "wrong_pin")),
    ("draw-down", e.SignedOff("The plate", "I-1", "not_yet", "again")),
    ("draw-down", FaultFound(1, "dust", "dust", "draw-down", "contact", "left dust", ("spots",))),
    ("draw-down", e.BenchReady(7, "tide", "blue", {}, {})),
    ("draw-down", e.BenchSet("pump", value=True)),
    ("draw-down", PracticePlate(1, 7, "tide", "blue", ("dust",))),
    ("draw-down", PracticeMeasured(1, "solid")),
    ("draw-down", e.RunClosed("done")),
)


def record(folder: Path) -> Path:
    """A record: a run with every kind of event, one stopped and excused, one of a person who was erased."""
    station = Station(folder)
    with station.open() as journal:
        journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
        short_run(station, journal, "r0", "T-09")
        station.keep(journal, RUN, (None, opened()), *EVERY)
        stopped = (e.Paused(), e.RunClosed("stopped", HOSTILE), e.RunExcused("I-1", "the lamp failed"))
        station.keep(
            journal, EXCUSED, (None, opened("T-03", rehearsal=True)), *((None, one) for one in stopped)
        )
        people = People(journal)
        people.rename("T-01", NAME)
        people.erase("T-09")
    return station.path


_MADE: list[Path] = []


def shared(folders: pytest.TempPathFactory) -> Path:
    """One such record for all tests that only read it; made once."""
    if not _MADE:
        _MADE.append(record(folders.mktemp("kept")))
    return _MADE[0]


def copied(kept: Path, folder: Path) -> Path:
    """A copy of a record, to be tampered with."""
    shutil.copytree(kept.parent, folder / "own")
    return folder / "own" / kept.name


def said(path: Path, *argv: str, code: int = 0) -> tuple[bytes, str]:
    """What an export writes to stdout and to stderr."""
    result = CliRunner().invoke(main, ["export", "--record", str(path), *argv])
    assert result.exit_code == code, result.output
    return result.stdout_bytes, result.stderr


def stated(path: Path, *argv: str) -> list[dict[str, Any]]:
    """The statements of an export."""
    found: list[dict[str, Any]] = json.loads(said(path, "--as", "xapi", *argv)[0])
    return found
