"""The tables for quick reading say what the events say, and are made again byte for byte."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from record_kit import Station, histories, opened, short_run, shown, station_with_a_run

from trainer.record import exposures, rebuild, schema
from trainer.record.journal import StationJournal
from trainer.run import events as e
from trainer.run.ports import JournalTrouble


def _table(journal: StationJournal, table: str, columns: str) -> list[tuple[object, ...]]:
    with journal.reading() as connection:
        return connection.execute(f"SELECT {columns} FROM {table} ORDER BY run, seq").fetchall()  # noqa: S608


def _dumped(path: Path) -> rebuild.Dump:
    with closing(sqlite3.connect(path)) as connection:
        return rebuild.dump(connection)


def test_a_run_is_followed(tmp_path: Path) -> None:
    """The row of a run shows where it stands, its hints, its spoiled plates, how it ended and why."""
    station = Station(tmp_path)
    columns = (
        "trainee, procedure, guidance, step, stage, plate, events, hints, spoiled, closed, reason, excused, "
        "handed"
    )
    with station.open() as journal:
        station.keep(
            journal,
            "r1",
            (None, opened()),
            ("burn", shown(plate=1)),
            ("burn", e.HintOpened()),
            ("burn", e.PlateSpoiled(1, "exposure", "scratched", "take-plate")),
            ("take-plate", shown(plate=2)),
            ("take-plate", e.RunHandedOver("T-01", "T-02")),
            ("take-plate", e.RunClosed("stopped", "class is over")),
            (None, e.RunExcused("I-1", "fire drill")),
        )
        with journal.reading() as connection:
            row = connection.execute(f"SELECT {columns} FROM runs JOIN standing USING (run)").fetchone()  # noqa: S608
    assert row == (
        *("T-02", "invented", "cued", "take-plate", "vacuum", 2, 8, 1, 1),
        *("stopped", "class is over", "fire drill", 1),
    )


def test_every_act_is_an_attempt_with_its_outcome(tmp_path: Path) -> None:
    """Each act by which a step is tried has a row: task, outcome, skill, and seconds since the step came."""
    station = station_with_a_run(tmp_path)
    with station.open() as journal:
        rows = _table(journal, "attempts", "step, task, outcome, skill, round(seconds, 3)")
    assert rows == [
        ("mind-the-glass", "hazard", "accepted", None, 0.1),
        ("draw-down", "none", "done", "contact", 0.1),
        ("read-gauge", "reading", "miss", "contact", 0.1),
        ("read-gauge", "reading", "ok", "contact", 0.2),
        ("burn", "wait", "on_time", "contact", 0.2),
        ("ask", "quiz", "wrong", "contact", 0.1),
        ("look", "judge", "said", "contact", 0.1),
        ("The plate", "sign_off", "passed", None, 0.1),  # of what was signed, which no step here is called
    ]


def test_a_pick_counts_for_the_skill_of_the_right_act(tmp_path: Path) -> None:
    """At guidance solo the pick of the next act has the skill of the act that was to be picked."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(
            journal,
            "r1",
            (None, opened()),
            ("draw-down", shown()),
            ("draw-down", e.NextPicked("burn", right=False, skill="exposure")),
        )
        assert _table(journal, "attempts", "task, outcome, skill") == [("pick", "wrong", "exposure")]


def test_no_seconds_are_told_across_a_restart_of_the_machine(tmp_path: Path) -> None:
    """An act after a reboot has no seconds, since the clock began anew."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "r1", (None, opened()), ("draw-down", shown()))
        station.clock.reboot()
        station.keep(journal, "r1", ("draw-down", e.Confirmed()))
        assert _table(journal, "attempts", "seconds") == [(None,)]


def test_answers_and_readings_have_their_values(tmp_path: Path) -> None:
    """Quiz answers and judgements stand in `answers`, readings in `readings`, as they were given."""
    station = Station(tmp_path)
    with station.open() as journal:
        short_run(station, journal, "r1", "T-07")
        answers = _table(journal, "answers", "trainee, step, name, form, answer, right")
        readings = _table(journal, "readings", "trainee, name, value, unit, typed, typed_unit, verdict")
    assert answers == [
        ("T-07", "ask", "why", "choices", '["a", "c"]', 0),
        ("T-07", "look", "tint", "judge", '["clean"]', None),
    ]
    assert readings == [
        ("T-07", "vacuum", 17.0, "inHg", "17", "inHg", "miss"),
        ("T-07", "vacuum", 21.5, "inHg", "21,5", "inHg", "ok"),
    ]


def test_acts_after_a_hand_over_are_the_new_trainees(tmp_path: Path) -> None:
    """An attempt counts for who was at work: before the hand-over the first trainee, after it the second."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(
            journal,
            "r1",
            (None, opened()),
            ("a", shown()),
            ("a", e.Confirmed()),
            ("a", e.RunHandedOver("T-01", "T-02")),
            ("a", e.Confirmed()),
        )
        assert _table(journal, "attempts", "trainee") == [("T-01",), ("T-02",)]


@settings(max_examples=settings().max_examples // 5, suppress_health_check=[HealthCheck.too_slow])
@given(history=histories())
def test_rebuilding_gives_the_same_tables(
    history: list[tuple[str, Sequence[tuple[str | None, e.Body]]]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """After any history, also with every projection emptied, a rebuild gives exactly the same tables."""
    station = Station(tmp_path_factory.mktemp("history"))
    with station.open() as journal:
        for run, batch in history:
            station.keep(journal, run, *batch)
    before = _dumped(station.path)
    rebuild.rebuild(station.path)
    assert _dumped(station.path) == before
    with closing(sqlite3.connect(station.path)) as connection:
        for table in schema.PROJECTED:
            connection.execute(f"DELETE FROM {table}")  # noqa: S608
        connection.commit()
    told = rebuild.rebuild(station.path)
    assert _dumped(station.path) == before
    assert told == rebuild.Rebuilt(len(station.kept), sum(map(len, station.kept.values())))


def test_an_empty_or_missing_record_is_not_rebuilt(tmp_path: Path) -> None:
    """A missing record and an empty file are told in a sentence, and no file is made."""
    path = tmp_path / "record.db"
    with pytest.raises(JournalTrouble, match="There is no record"):
        rebuild.rebuild(path)
    assert not path.exists()
    path.touch()
    with pytest.raises(JournalTrouble, match="is empty"):
        rebuild.rebuild(path)


def _expose(station: Station, journal: StationJournal, *waits: e.WaitEnded, rehearsal: bool = False) -> None:
    run = f"run-{len(station.kept)}"
    station.keep(journal, run, (None, opened(rehearsal=rehearsal)), ("burn", shown("wait")))
    for wait in waits:
        station.keep(journal, run, ("burn", e.WaitBegun("dose", units=wait.units)), ("burn", wait))


def test_the_estimate_is_the_median_of_recent_watched_exposures(tmp_path: Path) -> None:
    """None at first; then the median of the latest wet exposures that somebody watched to the end."""
    station = Station(tmp_path)
    with station.open() as journal:
        assert exposures.seconds_per_unit(journal) is None
        _expose(station, journal, e.WaitEnded("on_time", 24.0, units=24.0), rehearsal=True)
        _expose(station, journal, e.WaitEnded("said", 900.0, units=24.0))
        _expose(station, journal, e.WaitEnded("on_time", 900.0, unwatched=600.0, units=24.0))
        _expose(station, journal, e.WaitEnded("on_time", None, units=24.0))
        _expose(station, journal, e.WaitEnded("on_time", 45.0))
        assert exposures.seconds_per_unit(journal) is None
        _expose(
            station, journal, *(e.WaitEnded("on_time", 24.0 * rate, units=24.0) for rate in (1.0, 1.2, 9.0))
        )
        assert exposures.seconds_per_unit(journal) == pytest.approx(1.2)
        assert exposures.seconds_per_unit(journal, recent=2) == pytest.approx((1.2 + 9.0) / 2)
        _expose(station, journal, *(e.WaitEnded("on_time", 36.0, units=24.0) for _ in range(4)))
        assert exposures.seconds_per_unit(journal) == pytest.approx(1.5)
        assert exposures.seconds_per_unit(journal, recent=7) == pytest.approx(1.5)
        assert exposures.seconds_per_unit(journal, recent=1) == pytest.approx(1.5)
