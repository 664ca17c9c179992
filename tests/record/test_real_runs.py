"""Whole walks of the shipped procedures played over a real record instead of one in memory."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from marks_kit import marks_by_the_rules, marks_of

from trainer.procedure.load import load
from trainer.record.exposures import seconds_per_unit
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.record.rebuild import dump, rebuild
from trainer.record.verify import verify
from trainer.rehearsal.walk import run_walk, walk_files
from trainer.run.fakes import FakeClock
from trainer.run.fold import fold
from trainer.run.session import Run

QUICK = {"eye-splash-right-full", "exposure-test-two-corrections"}
WALKS = [
    pytest.param(walk, marks=() if walk.stem in QUICK else pytest.mark.long)
    for walk in walk_files(Path(__file__).parents[1] / "walks")
]
"""A procedure without plates and one with readings and a sum are quick; the rest is played with the long."""
PROCEDURES = Path(__file__).parents[2] / "procedures"


@pytest.mark.parametrize("walk", WALKS, ids=lambda walk: walk.stem)
def test_a_walk_plays_over_the_record_as_over_memory(
    walk: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The walk passes, the record verifies, a rebuild gives the same tables, exports are whole."""
    path = tmp_path / "record.db"
    clock = FakeClock()
    journals: list[StationJournal] = []

    def station() -> StationJournal:
        journals.append(StationJournal(path, clock))
        return journals[-1]

    monkeypatch.setattr("trainer.rehearsal.walker.FakeJournal", station)
    result = run_walk(walk)
    assert result.passed, result.findings
    (journal,) = journals
    with journal.reading() as connection:
        before = dump(connection)
        ((run, events),) = connection.execute("SELECT run, count(*) FROM events GROUP BY run").fetchall()
    people = People(journal)
    exported = json.loads(json.dumps([people.export(code) for code in people.codes("trainee")]))
    assert sum(len(kept["events"]) for one in exported for kept in one["runs"]) == events
    kept = journal.events(run)
    assert len(kept) == events
    with journal.reading() as connection:
        assert marks_of(connection, run) == marks_by_the_rules(kept)
    assert (seconds_per_unit(journal) or 1.0) > 0
    journal.close()
    assert {finding.code for finding in verify(path).findings} <= {"procedure_missing"}
    rebuild(path)
    with closing(sqlite3.connect(path)) as connection:
        assert dump(connection) == before


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
