"""The review with a hostile text in every place: of a record written into by hand, and of findings."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any, get_args
from unittest.mock import patch

from hostile_texts import EVERYTHING, FORGED, MARK
from record_kit import short_run, station_with_a_run
from review_desk import finding, skill_row
from review_values import FACTS, NOON, REVIEW
from stage import Stage, press, settled

from trainer.insight import glance, results
from trainer.insight.intervals import rate
from trainer.insight.results import Finding, ReadyRow, RefreshRow, Review, RunHeld
from trainer.procedure.text import one_line
from trainer.record.people import People
from trainer.run.fakes import FakeClock
from trainer.screens.review import finding as work
from trainer.screens.review.desk import Desk, Found
from trainer.screens.review.leaf import Opens
from trainer.screens.review.pages import PAGES
from trainer.screens.review.reviewing import Reviewing

LINE = f"{MARK}{EVERYTHING}{FORGED}".encode("utf-8", "replace").decode()
CLOCK = FakeClock("2026-04-01T12:00:00.000Z")
OURS = frozenset(
    [
        *get_args(results.SkillState),
        *get_args(results.Level),
        *get_args(results.Subject),
        *("wedge", "seconds per unit", "active time", "plates used", "none", "hazard", "reading", "wait"),
        *("choice", "choices", "number", "order", "run-0"),
    ]
)
"""Words of the program's own: no text from outside stands where they do."""


def hostile(value: Any, said: str) -> Any:  # noqa: ANN401 - whatever stands in a record of findings
    """A value with `said` in place of every text that is not the program's own."""
    if isinstance(value, str):
        return value if value in OURS else said
    if isinstance(value, Mapping):
        return {hostile(key, said): hostile(one, said) for key, one in value.items()}
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        return type(value)(*(hostile(one, said) for one in value))
    if isinstance(value, tuple):
        return tuple(hostile(one, said) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed = {one.name: hostile(getattr(value, one.name), said) for one in fields(value) if one.init}
        return replace(value, **changed)
    return value


def whole_review() -> Review:
    """Findings of every kind."""
    subjects = ("trainee", "skill", "step", "question", "station", "class")
    told: tuple[Finding, ...] = tuple(finding(subject=subject) for subject in subjects)
    held = (RunHeld("run-0", NOON, "excused"), RunHeld("run-0", NOON, ""))
    ready = ReadyRow("T-01", "two-burns", "3 runs", 3, 1, met=False, good=rate(1, 2, 0.8), held=held)
    again = RefreshRow("T-01", "two-burns", NOON, NOON, overdue=True, quizzes=(), runs=("run-0",))
    skills = (skill_row("T-01", "contact", 2, 10),)
    troubles = ("Run r9 cannot be read.",)
    return replace(REVIEW, findings=told, ready=(ready,), refresh=(again,), skills=skills, troubles=troubles)


def written_into(folder: Path, said: str) -> Path:
    """A record with `said` in all that the review reads of its tables."""
    station = station_with_a_run(folder)
    with station.open() as journal:
        short_run(station, journal, "r2", "T-02")
        People(journal).add("T-07", "Somebody")
    with closing(sqlite3.connect(station.path)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for change in (
            "UPDATE runs SET trainee = ?, procedure = ?, station = ?, job = ?, colour = ?, reason = ?",
            "UPDATE runs SET excused = ? WHERE run = 'r2'",
            "UPDATE attempts SET trainee = ?, step = ?, skill = ?, stage = ?, outcome = ?",
            "UPDATE people SET code = code || ?, name = ?",
            "INSERT INTO about VALUES ('invented', ?)",
        ):
            connection.execute(change, (said,) * change.count("?"))
        connection.commit()
    return station.path


async def show(said: str, size: tuple[int, int], folder: Path, look: Callable[[Stage], None]) -> None:
    """Every page of the review, with `said` wherever a text from outside can stand."""
    plain = said.encode("utf-8", "replace").decode()
    found = hostile(whole_review(), one_line(said))
    facts = hostile({"two-burns": FACTS}, one_line(said))

    def find(
        path: object, now: object, wanted: object, asked: int, record: object, *, dropped: object
    ) -> Found:
        del path, now, wanted, record, dropped
        return Found(asked, review=found, facts=facts)

    with patch.object(work, "find", find):
        desk = Desk(written_into(folder, plain), CLOCK)
        stage = Stage(Reviewing(desk))
        async with stage.run_test(size=size) as pilot:
            await settled(pilot)
            look(stage)
            screen = stage.screen
            assert isinstance(screen, Reviewing)
            text = one_line(plain)
            for page in PAGES.values():
                keys = ("r1", "3") if page.id in ("run", "act") else (text, text, "wedge")[: _keys(page.id)]
                runs = ("r1", "r2") if page.id == "rests" else ("r1/7",)
                screen.open(Opens(page.id, keys, runs))
                await pilot.pause()
                look(stage)
                await press(pilot, "end")
                look(stage)
            for opens in (Opens("trainee", (text,)), Opens("run", ("r1",))):
                screen.open(opens)
                await press(pilot, "c")  # whose code it is stands in what is asked
                look(stage)
                await press(pilot, "escape")
            screen.say(said)
            await settled(pilot)
            look(stage)


def _keys(page: str) -> int:
    """How many texts a page is about."""
    return {"trainee": 1, "skill": 1, "rests": 1, "acts": 1, "station": 3}.get(page, 2)


def _glance(folder: Path) -> str:
    with glance.looking(written_into(folder, LINE)) as connection:
        seen = glance.glance(connection)
    run = seen.runs[0]
    told = (run.trainee, run.procedure, run.station, run.job, seen.invented, *seen.names.values())
    return " ".join((*told, *seen.skills, *seen.procedures, *seen.everybody))


REVIEWING = {"trainer.insight.glance": _glance}
"""Probes of what cleans for the review."""
