"""Whole walks of the shipped procedures played over a real record: kept whole, stated whole, ready or not."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from export_kit import said, stated
from marks_kit import marks_by_the_rules, marks_of
from statement_looks import looked_at

from trainer.insight.facts import newest
from trainer.insight.read import read
from trainer.insight.ready import ready
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.record.exports.statement import faults
from trainer.record.exposures import seconds_per_unit
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.rebuild import dump, rebuild
from trainer.record.verify import verify
from trainer.rehearsal.walk import run_walk, walk_files
from trainer.run import readiness
from trainer.run.clock import to_ms
from trainer.run.events import Event, RunOpened
from trainer.run.fakes import FakeClock
from trainer.run.fold import fold
from trainer.run.session import Run

PROCEDURES = Path(__file__).parents[2] / "procedures"
QUICK = {"eye-splash-right-full", "exposure-test-two-corrections"}
OF_FAULTS = {"corner-missed", "gum-late", "mask-off"}
"""Of the walks of faults, which differ in what the bench makes and not in their kinds of events."""
ALL = [
    walk
    for walk in walk_files(Path(__file__).parents[1] / "walks")
    if walk.parent.name != "faults" or walk.stem in OF_FAULTS
]


CASES = [
    pytest.param(walk, id=walk.stem, marks=() if walk.stem in QUICK else pytest.mark.long) for walk in ALL
]
"""A procedure without plates and one with readings and a sum are quick; the rest is played with the long."""
over_all = pytest.mark.parametrize("played", CASES, indirect=True, scope="module")
"""Each of these walks, played once for all tests of this module."""


@dataclass(frozen=True)
class Played:
    """A record with one run, the run's events and its plan."""

    path: Path
    events: tuple[Event, ...]
    plan: Plan


@pytest.fixture(scope="module")
def played(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Played:
    """A walk, its events kept by a station's journal as they came."""
    path = tmp_path_factory.mktemp("station") / "record.db"
    journals: list[StationJournal] = []

    def station() -> StationJournal:
        journals.append(StationJournal(path, FakeClock()))
        return journals[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("trainer.rehearsal.walker.FakeJournal", station)
        result = run_walk(request.param)
    assert result.passed, result.findings
    (journal,) = journals
    with journal:
        with journal.reading() as connection:
            ((run,),) = connection.execute("SELECT DISTINCT run FROM events").fetchall()
        events = journal.events(run)
        opened = events[0].body
        assert isinstance(opened, RunOpened)
        plan = load(PROCEDURES / f"{opened.procedure}.yaml").require()
        assert plan.content_hash == opened.content_hash
        journal.keep_procedure(plan.content_hash, plan.source, opened.procedure, opened.revision)
    return Played(path, events, plan)


@over_all
def test_a_walk_plays_over_the_record_as_over_memory(played: Played) -> None:
    """The record verifies, a rebuild gives the same tables, exports are whole, marks follow the rules."""
    run, events = played.events[0].run, len(played.events)
    with StationJournal(played.path, FakeClock()) as journal:
        with journal.reading() as connection:
            before = dump(connection)
            assert marks_of(connection, run) == marks_by_the_rules(played.events)
        people = People(journal)
        exported = json.loads(json.dumps([people.export(code) for code in people.codes("trainee")]))
        assert (seconds_per_unit(journal) or 1.0) > 0
    assert sum(len(kept["events"]) for one in exported for kept in one["runs"]) == events
    assert verify(played.path).findings == ()
    rebuild(played.path)
    with closing(sqlite3.connect(played.path)) as connection:
        assert dump(connection) == before


@over_all
def test_a_walk_is_stated_whole(played: Played) -> None:
    """Nothing is left out; each statement passes the model and a look by other means; all is defined."""
    made = stated(played.path)
    assert [str(fault) for one in made for fault in faults(one)] == []
    assert [words for one in made for words in looked_at(one)] == []
    verbs = [one["verb"]["display"]["en"] for one in made]
    assert verbs[0] == "initialized"
    assert {"completed", "acknowledged"} & set(verbs)
    assert made[0]["object"]["definition"]["name"]
    assert len(said(played.path, "--as", "csv", "--table", "events")[0].splitlines()) > len(made)


@over_all
def test_readiness_after_a_walk_is_that_of_the_events(played: Played) -> None:
    """Counted or not, and why, from tables as from events: a day after the last of them."""
    last, opened = played.events[-1], played.events[0].body
    assert isinstance(opened, RunOpened)
    now = datetime.fromtimestamp(to_ms(last.stamp.at) / 1000, UTC) + timedelta(days=1)
    stamp = replace(last.stamp, at=now.isoformat(timespec="milliseconds").replace("+00:00", "Z"))
    found = read(played.path)
    rows = ready(found.frames, newest(found.facts), now)
    rule = played.plan.procedure.ready
    if rule is None:
        assert rows == ()
        return
    (known,) = readiness.ready(rule, [played.events], opened.trainee, stamp).runs
    assert [one.why_not for row in rows for one in row.held] == [known.why_not]


def test_a_run_goes_on_from_the_kept_bytes_after_the_file_was_changed(tmp_path: Path) -> None:
    """A run opened by one journal is taken up by another from the record alone, in the same state."""
    plan = load(PROCEDURES / "exposure-test.yaml").require()
    clock = FakeClock()
    path = tmp_path / "record.db"
    settings = {name: setting.value for name, setting in plan.procedure.settings.items()}
    with StationJournal(path, clock) as journal:
        journal.keep_procedure(plan.content_hash, plan.source, plan.procedure.id, plan.procedure.revision)
        run = Run.open(
            plan, run="r1", trainee="T-01", guidance="full", settings=settings, journal=journal, clock=clock
        )
        step = run.state.step
    clock.pass_time(60)
    with StationJournal(path, clock) as journal:
        (found,) = journal.open_runs()
        assert (found.run, found.step, found.content_hash) == ("r1", step, plan.content_hash)
        assert journal.procedure(found.content_hash) == plan.source
        journal.take_lease("r1")
        again = Run.take_up(plan, "r1", journal=journal, clock=clock)
        assert again.state == fold(plan, journal.events("r1"))
        assert again.state.step == step
    assert verify(path).findings == ()
