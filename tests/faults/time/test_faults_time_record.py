"""What is read from the record goes by its order and by counts that nobody can set, not by the wall clock."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from record_kit import Station, opened, shown
from run_kit import Sink

from trainer.record.erase import erase_person
from trainer.record.exposures import seconds_per_unit
from trainer.record.heads import RunHead
from trainer.run import events as ev
from trainer.run.clock import from_ms, to_ms
from trainer.run.events import Stamp
from trainer.run.readiness import ready
from trainer.screens.outcome import Outcome, outcome
from trainer.screens.plain_words import outcome_lines

HOUR = 3600.0
YEAR = 365 * 24 * HOUR
DAY_MS = 86_400_000


def summed_up(sink: Sink) -> Outcome:
    """The summary of a run as it stands."""
    head = RunHead(number=1, run="run-1", count=len(sink.events), head="0" * 64)
    return outcome(sink.events, head)


@pytest.mark.parametrize("jump", [-2 * HOUR, YEAR, -YEAR], ids=["two hours back", "a year on", "a year back"])
def test_minutes_do_not_go_by_the_wall_clock(jump: float) -> None:
    """A run of ten minutes took ten minutes, wherever the wall clock was set in between."""
    sink = Sink.open().until("draw-down")
    sink.clock.jump_wall(jump)
    began = sink.events[0].stamp.ticks_ms
    sink.clock.pass_time(600 - (sink.clock.now().ticks_ms - began) / 1000)
    sink.run.stop("Enough.")
    found = summed_up(sink)
    assert (found.minutes, found.at_least, found.took) == (10.0, False, "10 min")
    walls = [to_ms(event.stamp.at) for event in sink.events]
    assert abs((walls[-1] - walls[0]) / 60_000 - 10) > 100, "the control: the wall clock would have lied"


def test_minutes_over_a_restart_of_the_machine_are_the_least() -> None:
    """Where the machine was started again, the time it was up is told, as the least it can have been."""
    sink = Sink.open().until("draw-down")
    began = sink.events[0].stamp.ticks_ms
    sink.clock.pass_time(300 - (sink.clock.now().ticks_ms - began) / 1000)
    sink.run.note("before")
    sink.clock.jump_wall(-YEAR)
    sink.clock.reboot(down_seconds=900)
    sink.restart()
    sink.clock.pass_time(120)
    sink.run.stop("Enough.")
    found = summed_up(sink)
    assert (found.minutes, found.took) == (7.0, "at least 7 min")
    assert any("at least 7 min" in line for line in outcome_lines(found, "Title"))


def test_open_runs_come_in_the_order_they_were_kept(tmp_path: Path) -> None:
    """The run that was worked on last is first in the list, though the clock was set back before it."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.keep(journal, "first", (None, opened("T-01")), ("draw-down", shown()))
        station.clock.jump_wall(-YEAR)
        station.keep(journal, "second", (None, opened("T-02")), ("draw-down", shown()))
        found = journal.open_runs()
        assert [one.run for one in found] == ["second", "first"]
        assert max(found, key=lambda one: one.last_at).run == "first", "the control"
        station.keep(journal, "first", ("draw-down", ev.Confirmed()))
        assert [one.run for one in journal.open_runs()] == ["first", "second"]


def test_the_order_outlives_an_erasure(tmp_path: Path) -> None:
    """Erasing a person writes the file anew, and the order of the others' runs stays."""
    station = Station(tmp_path)
    with station.open() as journal:
        for number in range(1, 6):
            station.keep(journal, f"r{number}", (None, opened(f"T-0{number}")), ("draw-down", shown()))
            station.clock.jump_wall(-HOUR)
        station.keep(journal, "r2", ("draw-down", ev.Confirmed()))
        erase_person(journal, "T-03")
        left = [one.run for one in journal.open_runs() if one.run != "r3"]
        assert left == ["r2", "r5", "r4", "r1"]


def test_the_estimate_follows_the_lamp_though_the_clock_was_ahead(tmp_path: Path) -> None:
    """Exposures kept while the clock was a year ahead do not count as the latest for a year."""
    station = Station(tmp_path)
    with station.open() as journal:
        station.clock.jump_wall(YEAR)
        expose(station, "ahead", 24.0)
        station.clock.jump_wall(-YEAR)
        for number in range(7):
            expose(station, f"since-{number}", 48.0)
        assert seconds_per_unit(journal) is None, "nothing is kept yet"
        for run in station.kept:
            journal.append(station.kept[run])
        assert seconds_per_unit(journal) == pytest.approx(2.0)
        assert seconds_per_unit(journal, recent=1) == pytest.approx(2.0)
    latest = max((events[-1] for events in station.kept.values()), key=lambda event: event.stamp.at)
    assert latest.run == "ahead", "the control"


def expose(station: Station, run: str, seconds: float) -> None:
    """A run with one watched exposure of 24 units."""
    station.event(run, opened())
    station.event(run, shown("wait"), "burn")
    station.event(run, ev.WaitBegun("dose", units=24.0), "burn")
    station.event(run, ev.WaitEnded("on_time", seconds, units=24.0), "burn")


def counts(days_ahead: float) -> str:
    """Why a run does not count that was closed so many days from now; empty where it does."""
    sink = Sink.open("solo").to_end()
    rule = sink.plan.procedure.ready
    assert rule is not None
    now: Stamp = sink.clock.now()
    looked = replace(now, at=from_ms(to_ms(now.at) - round(days_ahead * DAY_MS)))
    return ready(rule, [sink.events], "T-01", looked).runs[0].why_not


def test_a_run_closed_in_the_future_does_not_count() -> None:
    """A closing time more than a day ahead tells no age: the run does not count, and it is said why."""
    assert counts(0) == ""
    assert counts(0.9) == "", "a clock in another zone, or an hour out in summer"
    said = "closed at a time that is still to come: the station's clock was wrong"
    assert counts(1.1) == said
    assert counts(365) == said
