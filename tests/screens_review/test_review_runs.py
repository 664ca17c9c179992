"""A run act by act, single events, and lists of runs and attempts: from real events kept in a record."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from record_kit import Station, opened, shown
from review_desk import EMPTY, SMALL, StillDesk, hand_glance, kept_record, opening, run_seen, said
from run_kit import Sink, plan_of

from trainer.insight.facts import facts_of
from trainer.run import events as ev
from trainer.run import wire
from trainer.run.clock import from_ms, to_ms
from trainer.run.events import Body, Event
from trainer.run.fakes import FakeClock
from trainer.run.fault_events import FaultFound, PracticeMeasured, PracticePlate
from trainer.run.scoring import score
from trainer.screens.review import run_rows, runs_rows
from trainer.screens.review.desk import Desk
from trainer.screens.review.leaf import Opens, Size
from trainer.screens.review.replay import showings
from trainer.screens.review.telling import told

CLOCK = FakeClock("2026-04-01T12:00:00.000Z")


@cache
def whole_run() -> tuple[Event, ...]:
    """A right run of the test plate, to its end."""
    sink = Sink.open("cued")
    while not sink.run.state.closed:
        sink.right()
    return sink.journal.events(sink.run.state.run)


BODIES: tuple[tuple[Body, str], ...] = (
    (
        ev.RunOpened("T-01", "p", 3, "0", "cued", rehearsal=True, settings={"dose": 24.0}),
        "rehearsal, guidance",
    ),
    (shown(), ""),
    (ev.HintOpened(), "key points"),
    (ev.HazardAccepted("danger", ("a",), 2.4), "accepted after 2 s"),
    (ev.Confirmed(), "done"),
    (ev.WaitBegun("countdown", seconds=90.0), "1 min 30 s"),
    (ev.WaitBegun("window", at_least=30.0, at_most=90.0), "not before 30 s, not after 1 min 30 s"),
    (ev.WaitBegun("dose", units=24.0), "24 units"),
    (ev.WaitWarned("late"), "too late"),
    (ev.WaitEnded("late", 95.0, 12.0), "ended too late after 1 min 35 s; nobody was watching for 12 s"),
    (ev.ReadingTaken("vacuum", 20.3, "inHg", "69", "kPa", "miss"), "read 69 kPa (20.3 inHg): a miss"),
    (ev.Judged("tint", "haze", right=None), "judged: haze"),
    (ev.QuizAnswered("why", "choice", ("b",), right=False), "answered b, not right"),
    (ev.WorkedOut("next_units", 27.0, "units", "24 x 1.12"), "next units 27 units"),
    (ev.SettingOffered("exposure", 24.0, 27.0, "units", fits=True), "27 units"),
    (ev.SettingChanged("exposure", 24.0, 27.0, "units", "I-1"), "I-1 took a new shop value"),
    (ev.SignedOff("last-look", "I-1", "not_yet", "Fog"), "I-1 signed last-look: not yet: Fog"),
    (ev.SignOffRefused("I-1", "wrong_pin"), "wrong PIN"),
    (ev.BenchReady(7, "tide", "blue", {}, {}), "film blue of tide"),
    (ev.BenchSet("pump", value=True), "set pump to yes"),
    (ev.Moved("rinse", "guard"), "goes on at rinse"),
    (ev.Moved("rinse", "finished"), ""),
    (ev.NextOffered(("a", "b"), "a"), ""),
    (ev.NextPicked("b", right=False), "picked as the next act: b, not right"),
    (ev.PlateMade(2, passes=False), "does not pass"),
    (FaultFound(2, "gum-late", "", "gum", None, "gummed late", ()), "gummed late"),
    (PracticePlate(1, 5, "tide", "blue", ("gum-late",)), "gum-late"),
    (PracticeMeasured(1, "solid_step"), "solid step"),
    (ev.PlateSpoiled(1, "vacuum", "scratched", "take-plate"), "plate 1 given up: scratched"),
    (ev.Paused(), "paused"),
    (ev.Resumed("restart"), "started again"),
    (ev.NoteAdded("I-1", "Look at the pad"), "note by I-1: Look at the pad"),
    (ev.RunExcused("I-1", "Lamp failed"), "excused by I-1: Lamp failed"),
    (ev.CodeMistyped("I-1", "T-31", "T-13"), "put down to T-13 instead of T-31, by I-1"),
    (ev.RunHandedOver("T-01", "T-02"), "from T-01 to T-02"),
    (ev.RunClosed("stopped", "fire drill"), "stopped: fire drill"),
)
"""Every kind of event, and what of it stands in words."""


@pytest.mark.parametrize(("body", "words"), BODIES, ids=[body.kind for body, _ in BODIES])
def test_every_event_is_said_in_words(body: Body, words: str) -> None:
    """What an event says has what was done in it; what says nothing by itself is empty."""
    found = told(body, "step", None).words
    assert words in found
    assert bool(words) == bool(found)


def test_no_kind_of_event_is_left_out() -> None:
    """The table above has every kind that the record knows."""
    assert {body.kind for body, _ in BODIES} == set(wire.KINDS)


def test_a_run_replayed_has_every_showing_with_its_times() -> None:
    """Every step shown stands once with its time into the run and how long it was there.

    The times are held to the events' own stamps.
    """
    events = whole_run()
    made = showings(events)
    stepped = [event for event in events if isinstance(event.body, ev.StepShown)]
    assert [one.seq for one in made if one.step] == [event.seq for event in stepped]
    assert sum(len(one.events) for one in made) == len(events)
    start = events[0].stamp.ticks_ms
    assert [one.began for one in made if one.step] == [(e.stamp.ticks_ms - start) / 1000 for e in stepped]
    whole = (events[-1].stamp.ticks_ms - stepped[0].stamp.ticks_ms) / 1000
    assert sum(one.lasted or 0.0 for one in made if one.step) == pytest.approx(whole)


def test_a_machine_started_again_leaves_no_false_time() -> None:
    """Over a restart time since the beginning is the wall clock's; how long a step stood is unknown."""
    events = list(whole_run()[:6])
    later = from_ms(to_ms(events[-1].stamp.at) + 600_000)
    again = replace(events[-1], seq=7, stamp=replace(events[-1].stamp, at=later, boot="boot-2", ticks_ms=5))
    made = showings([*events, replace(again, body=shown(), step="after")])
    assert made[-2].lasted is None
    assert made[-1].began >= 600


def test_nothing_comes_of_nothing() -> None:
    """A run without events that can be read has no showings."""
    assert showings(()) == ()


class RunDesk(StillDesk):
    """A desk with one run by hand."""

    def __init__(self, events: tuple[Event, ...], **changes: Any) -> None:  # noqa: ANN401 - fields by name
        run = run_seen(0, run=events[0].run, **changes)
        super().__init__(replace(hand_glance(), runs=(run,)), EMPTY)
        self.kept = events

    def events(self, run: str) -> tuple[tuple[Event, ...], tuple[str, ...]]:
        """The events by hand."""
        del run
        return self.kept, ()

    def facts_of_run(self, run: Any) -> Any:  # noqa: ANN401 - as the desk has it
        """The test plate's."""
        return None if run.practice else facts_of(plan_of("plate"))


def every_act(desk: RunDesk) -> RunDesk:
    """The same desk, on which a run shows every act."""
    desk.turn_order("run", run_rows.ORDERS)
    return desk


def test_the_page_of_a_run() -> None:
    """Who, when, how; stages by their titles; every act opens its event; marks as scoring says."""
    events = whole_run()
    leaf = run_rows.leaf(every_act(RunDesk(events)), (events[0].run,), SMALL)
    page = said(leaf)
    plan = plan_of("plate")
    assert all(stage.title in page for stage in plan.procedure.stages if isinstance(stage.title, str))
    marks = score(events)
    for skill, one in marks.skills.items():
        if one.attempts:
            assert f"{skill or 'other work'} {one.hits} of {one.attempts}" in page
    seqs = {one.keys[1] for one in opening(leaf) if one.page == "act"}
    assert {str(e.seq) for e in events if isinstance(e.body, ev.ReadingTaken | ev.QuizAnswered)} <= seqs


def test_only_what_stands_out_of_a_run() -> None:
    """First a run shows the steps where something was not as wanted, asked for, or slow; by `o` every act."""
    station = Station(Path("nowhere"))
    steps = ("calm", "missed", "asked", "slow")
    acts: dict[str, Body] = {
        "calm": ev.Confirmed(),
        "missed": ev.ReadingTaken("vacuum", 17.0, "inHg", "17", "inHg", "miss"),
        "asked": ev.HintOpened(),
        "slow": ev.Confirmed(),
    }
    events = [station.event("r1", opened())]
    for step in steps:
        events.append(station.event("r1", shown(), step))
        station.clock.pass_time(run_rows.SLOW if step == "slow" else 1.0)
        events.append(station.event("r1", acts[step], step))
    desk = RunDesk(tuple(events))
    page = said(run_rows.leaf(desk, ("r1",), SMALL))
    assert [step for step in steps if step in page] == ["missed", "asked", "slow"]
    assert "o shows every act" in page
    assert all(step in said(run_rows.leaf(every_act(desk), ("r1",), SMALL)) for step in steps)
    calm = RunDesk(tuple(events[:3]))
    assert "Nothing stands out in this run; o shows every act." in said(run_rows.leaf(calm, ("r1",), SMALL))


def test_a_run_opened_at_an_act_begins_there() -> None:
    """From an attempt, the bar stands on the act it was made of, also where that was as wanted."""
    events = whole_run()
    seq = next(event.seq for event in events if isinstance(event.body, ev.ReadingTaken))
    leaf = run_rows.leaf(RunDesk(events), (events[0].run, str(seq)), SMALL)
    assert leaf.at == Opens("act", (events[0].run, str(seq)))
    assert leaf.at in opening(leaf)


def test_an_event_shows_all_that_is_kept_of_it() -> None:
    """Every field of a body stands on its page with its value; the step over all trainees opens from it."""
    events = whole_run()
    event = next(one for one in events if isinstance(one.body, ev.ReadingTaken))
    leaf = run_rows.act_leaf(RunDesk(events), (event.run, str(event.seq)), SMALL)
    page = said(leaf)
    for part in ("typed", "verdict", "ok", event.id, event.stamp.at[11:23], str(event.step)):
        assert part in page
    assert Opens("step", ("two-burns", str(event.step))) in opening(leaf)
    gone = run_rows.act_leaf(RunDesk(events), (event.run, "9999"), SMALL)
    assert "not there" in said(gone)


def test_what_instructors_said_stands_on_top() -> None:
    """Excused, notes and sign-offs stand before the acts, each opening its event."""
    station = Station(Path("nowhere"))
    bodies = (
        opened(),
        ev.SignedOff("sign", "I-1", "passed"),
        ev.RunClosed("done"),
        ev.NoteAdded("I-1", "Good pad"),
    )
    events = tuple(station.event("r1", body) for body in bodies)
    page = said(run_rows.leaf(every_act(RunDesk(events, excused="Lamp failed")), ("r1",), SMALL))
    lines = page.split("\n")
    at = next(number for number, line in enumerate(lines) if "opened by" in line)
    top = "\n".join(lines[:at])
    assert "EXCUSED, it counts for nothing: Lamp failed" in top
    assert "Good pad" in top
    assert "I-1 signed sign: passed" in top


def test_lists_of_a_record(tmp_path: Path) -> None:
    """Runs, attempts of a trainee at a skill, and what something rests on, read from a real record."""
    desk = Desk(kept_record(tmp_path), CLOCK)
    assert said(runs_rows.leaf(desk, (), SMALL)).count("T-0") == 3
    leaf = runs_rows.attempts_leaf(desk, ("T-01", "contact"), SMALL)
    runs = {one.keys[0] for one in opening(leaf) if one.page == "run"}
    assert runs == {"r1", "r3"}
    behind = said(runs_rows.rests_leaf(desk, ("Why",), SMALL, ("r1", "r2", "unknown")))
    assert "2 runs" in behind
    acts = runs_rows.acts_leaf(desk, ("Why",), SMALL, ("r1/7", "r1/999", "unknown/1"))
    assert "1 attempt" in said(acts)
    assert "21,5" in said(run_rows.act_leaf(desk, ("r1", "8"), SMALL))


@pytest.mark.parametrize("order", range(len(runs_rows.ORDERS)))
def test_runs_in_every_order(order: int) -> None:
    """Newest first; by trainee; by plates given up; by key points asked for."""
    runs = [run_seen(n, who, spoiled=s, hints=h) for n, who, s, h in ((3, "T-02", 0, 9), (2, "T-01", 5, 1))]
    made = [run.run for run in runs_rows.sorted_runs(runs, order)]
    assert made == (["run-3", "run-2"] if order in (0, 3) else ["run-2", "run-3"])


def test_a_long_list_says_what_it_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond so many rows a list says how many more there are."""
    monkeypatch.setattr(runs_rows, "MOST", 2)
    assert "and 1 more" in said(runs_rows.leaf(StillDesk(hand_glance(3)), (), SMALL))


def test_one_skill_over_all_trainees() -> None:
    """Who needs help comes first, each with rate and interval, and opens the attempts."""
    leaf = runs_rows.skill_leaf(StillDesk(hand_glance()), ("contact",), Size(78, 20))
    shown_order = [one.keys[0] for one in opening(leaf)]
    by = hand_glance().by
    assert by[shown_order[0], "contact"].state == "needs help"
    assert all(one.page == "attempts" for one in opening(leaf))


def test_a_bad_event_hides_no_other(tmp_path: Path) -> None:
    """A run with an event that cannot be read shows the others and says which; other runs are as ever."""
    path = kept_record(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER events_never_change")
        connection.execute("UPDATE events SET body = '{' WHERE run = 'r1' AND seq = 5")
        connection.execute("UPDATE events SET body = NULL, salt = NULL WHERE run = 'r1' AND seq = 6")
        connection.commit()
    desk = Desk(path, CLOCK)
    shown_page = said(run_rows.leaf(desk, ("r1",), SMALL), 400)
    assert "Event 5 of run r1 in the record cannot be read" in shown_page
    assert "1 of its events belonged" in shown_page
    assert "read 21,5 inHg: good" in shown_page
    assert "cannot be read (" not in said(run_rows.leaf(desk, ("r2",), SMALL), 400)
    assert "There is no run r9" in said(run_rows.leaf(desk, ("r9",), SMALL))
