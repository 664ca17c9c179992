"""Whole walks of the shipped procedures, exported: every act is stated, and every statement conforms."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from copy import deepcopy
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from export_kit import said, shared, stated

from trainer import places
from trainer.procedure.load import load
from trainer.record.exports.forms import seconds_of
from trainer.record.exports.statement import faults
from trainer.record.journal import StationJournal
from trainer.rehearsal.walk import run_walk, walk_files
from trainer.run.events import RunOpened
from trainer.run.fakes import FakeClock

QUICK = {"eye-splash-right-full"}
FAULTS = {"corner-missed", "gum-late"}
"""Of the walks of faults, which differ in what the bench makes and not in their kinds of events."""
WALKS = [
    pytest.param(walk, marks=() if walk.stem in QUICK else pytest.mark.long)
    for walk in walk_files(Path(__file__).parents[1] / "walks")
    if walk.parent.name != "faults" or walk.stem in FAULTS
]


@pytest.fixture
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every kind of event; not to be changed."""
    return shared(tmp_path_factory)


@pytest.mark.parametrize("walk", WALKS, ids=lambda walk: walk.stem)
def test_a_walk_is_stated_whole(walk: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is left out; each statement passes the model and a look by other means; all is defined."""
    path = tmp_path / "record.db"
    journals: list[StationJournal] = []

    def station() -> StationJournal:
        journals.append(StationJournal(path, FakeClock()))
        return journals[-1]

    monkeypatch.setattr("trainer.rehearsal.walker.FakeJournal", station)
    assert run_walk(walk).passed
    (journal,) = journals
    with journal.reading() as connection:
        ((run,),) = connection.execute("SELECT DISTINCT run FROM events").fetchall()
    opened = journal.events(run)[0].body
    assert isinstance(opened, RunOpened)
    plan = load(places.procedures_dir() / f"{opened.procedure}.yaml").require()
    journal.keep_procedure(plan.content_hash, plan.source, opened.procedure, opened.revision)
    journal.close()
    made = stated(path)
    assert [str(fault) for one in made for fault in faults(one)] == []
    assert [words for one in made for words in looked_at(one)] == []
    verbs = [one["verb"]["display"]["en"] for one in made]
    assert verbs[0] == "initialized"
    assert {"completed", "acknowledged"} & set(verbs)
    if opened.content_hash == plan.content_hash:
        assert made[0]["object"]["definition"]["name"]
    assert len(said(path, "--as", "csv", "--table", "events")[0].splitlines()) > len(made)


def looked_at(one: dict[str, Any]) -> Iterator[str]:
    """What is wrong with a statement of ours, by the standard library and the rules of the reference.

    Rules: learning-records reference, section 1.2 (score only in passed and failed, scaled in passed and
    failed from 0 to 1; completion true only in completed; times in UTC), and Data 2.4 (what is wanted).
    """
    if not {"actor", "verb", "object", "id", "timestamp"} <= one.keys():
        yield "something is missing"
    if uuid.UUID(one["id"]).variant != uuid.RFC_4122:
        yield "the id is of another variant"
    if datetime.fromisoformat(one["timestamp"]).utcoffset() != timedelta():
        yield "the time is not in UTC"
    for iri in (one["verb"]["id"], one["object"].get("id", "a:"), one["actor"]["account"]["homePage"]):
        if not urlsplit(iri).scheme or " " in iri:
            yield f"{iri} is no IRI"
    result, verb = one.get("result", {}), one["verb"]["display"]["en"]
    if "score" in result:
        yield "nothing of ours has a score"
    if result.get("completion") is True and verb != "completed":
        yield "only what is completed is complete"
    if "duration" in result and (seconds_of(result["duration"]) or 0) < 0:
        yield "the duration is none"


def mutants(one: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Five ways to spoil a statement (learning-records reference, section 1.3)."""
    spoiled = deepcopy(one)
    spoiled["actor"]["mbox"] = "mailto:t@school.example"
    yield spoiled
    yield {**one, "result": {"score": {"scaled": 1.01}}}
    yield {**one, "result": {"success": "true"}}
    yield {**one, "unknown": 1}
    reference = {"objectType": "StatementRef", "id": one["id"]}
    yield {**one, "object": reference, "context": {"revision": "3"}}


def test_a_spoiled_statement_of_ours_is_refused(kept: Path) -> None:
    """Each of the five, made of every statement of the record."""
    for one in stated(kept):
        assert all(faults(mutant) for mutant in mutants(one))
