"""The power goes at any moment of a small history: whatever may be on the disk keeps every promise."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from history_kit import Witness, summed, wrong_with
from power_kit import Recorder, crashes, recorded
from record_kit import SHORT_RUN, SOURCE, Station, opened, real_hash, shown

from trainer.record import store

Modes = Callable[[sqlite3.Connection], None]
real_modes = store._set_modes


def _history(folder: Path, ignore: str = "") -> tuple[Path, Recorder]:
    """A run opened and two acts, on a record that is there already; everything asked of the disk."""
    station = Station(folder)
    with station.open() as journal:
        journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
        recorder = Recorder(station.path, ignore=ignore)
        first = Witness(journal, recorder.say)
        station.keep(first, "r0", (None, opened("T-09")))
    recorder = Recorder(station.path, ignore=ignore)
    before = [event.id for event in station.kept["r0"]]
    recorder.say(f"intent {' '.join(before)}\n")
    recorder.say(f"ack {' '.join(before)}\n")
    with recorded(recorder), station.open() as journal:
        journal.take_lease("r0")
        witness = Witness(journal, recorder.say)
        station.keep(witness, "r0", ("draw-down", shown()), *SHORT_RUN[3:5])
        station.keep(witness, "r0", SHORT_RUN[6])
    return station.path, recorder


def _found(record: Path, recorder: Recorder, folder: Path, every: int) -> tuple[int, list[str]]:
    """Look at each `every`-th state; how many, and the first thing found wrong."""
    said = [entry.data.decode("ascii") for entry in recorder.log if entry.what == "said"]
    looked_at = 0
    for number, crash in enumerate(crashes(recorder, seed=31)):
        if number % every:
            continue
        looked_at += 1
        copy = folder / "copy"
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(
            record.parent, copy, ignore=shutil.ignore_patterns("*.reserve", "*-journal", record.name)
        )
        for beside in (".key", ".heads"):
            shutil.copy2(record.with_name(record.name + beside), copy)
        for name, content in crash.files.items():
            (copy / name).write_bytes(content)
        # What the writer would have said last may be kept already: it is intended before it is written.
        intended = [line for line in said if line.startswith("intent")]
        if wrong := wrong_with(copy / record.name, summed([*said[: crash.said], *intended])):
            return looked_at, wrong
    return looked_at, []


def test_no_power_cut_breaks_a_promise(tmp_path: Path) -> None:
    """Some of the states that a power cut may leave: nothing acknowledged is lost, nothing is half."""
    record, recorder = _history(tmp_path / "made")
    looked_at, wrong = _found(record, recorder, tmp_path, every=17)
    assert wrong == []
    assert looked_at > 50


@pytest.mark.long
def test_no_power_cut_at_all_breaks_a_promise(tmp_path: Path) -> None:
    """The same for every state of the model."""
    record, recorder = _history(tmp_path / "made")
    looked_at, wrong = _found(record, recorder, tmp_path, every=1)
    assert wrong == []
    assert looked_at > 500


def _with(pragma: str) -> Modes:
    def modes(connection: sqlite3.Connection) -> None:
        real_modes(connection)
        connection.execute(pragma)

    return modes


@pytest.mark.parametrize("level", ["OFF", pytest.param("FULL", marks=pytest.mark.long)])
def test_a_lower_level_of_syncing_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, level: str
) -> None:
    """Sabotage: without syncs, and without that of the folder, some power cut breaks a promise."""
    monkeypatch.setattr(store, "_set_modes", _with(f"PRAGMA synchronous = {level}"))
    record, recorder = _history(tmp_path / "made")
    _, wrong = _found(record, recorder, tmp_path, every=1)
    assert wrong != []


@pytest.mark.parametrize("dropped", ["sync record.db", "sync record.db-journal"])
@pytest.mark.sweep(quick=1)
def test_a_dropped_sync_is_found_out(tmp_path: Path, dropped: str) -> None:
    """Sabotage: a storage that leaves out one kind of sync loses a promise in some power cut."""
    record, recorder = _history(tmp_path / "made", dropped)
    _, wrong = _found(record, recorder, tmp_path, every=1)
    assert wrong != []
