"""What was done at one step, read off tables filled by hand; every figure counted by eye."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest
from review_values import FACTS, PLATES

from trainer.insight.at_step import AtStep, at_step
from trainer.insight.results import Wanted
from trainer.record.schema import PROJECTIONS

Act = dict[str, str | float | None]
AT = "2026-03-02T09:00:00.000Z"
NOBODY = Wanted()


def put(connection: sqlite3.Connection, table: str, **values: str | float | None) -> None:
    """A row; columns that are not named get an empty value of their kind."""
    row: dict[str, str | float | None] = {}
    for _, name, kind, needed, _, _ in connection.execute(f"PRAGMA table_info({table})").fetchall():
        empty = "" if kind == "TEXT" else 0
        row[name] = values.get(name, empty if needed or name in ("run", "seq") else None)
    marks = ", ".join("?" * len(row))
    connection.execute(f"INSERT INTO {table} VALUES ({marks})", tuple(row.values()))  # noqa: S608


def run(
    connection: sqlite3.Connection, name: str, trainee: str, *, excused: str = "", rehearsal: int = 0
) -> None:
    """A run of the procedure."""
    put(
        connection,
        "runs",
        run=name,
        trainee=trainee,
        procedure=PLATES,
        opened_at=AT,
        last_at=AT,
        excused=excused,
        rehearsal=rehearsal,
    )


@pytest.fixture
def record() -> Iterator[sqlite3.Connection]:
    """Three runs that count and one that is excused: a gauge read, a question answered, a plate rubbed."""
    with closing(sqlite3.connect(":memory:")) as connection:
        for statement in PROJECTIONS:
            connection.execute(statement)
        run(connection, "r1", "T-01")
        run(connection, "r2", "T-02")
        run(connection, "r3", "T-02", rehearsal=1)
        run(connection, "r4", "T-03", excused="fire drill")
        for name, seq, value, verdict in (
            ("r1", 1, 17.0, "miss"),
            ("r1", 2, 22.0, "ok"),
            ("r2", 1, 220.0, "slip"),
            ("r2", 2, 17.0, "miss"),
            ("r2", 3, 21.0, "ok"),
            ("r3", 1, 24.0, "ok"),
            ("r4", 1, 3.0, "miss"),
        ):
            who = {"r1": "T-01", "r4": "T-03"}.get(name, "T-02")
            act: Act = {"run": name, "seq": seq, "at": AT, "trainee": who, "step": "read-gauge"}
            put(connection, "readings", **act, value=value, unit="inHg", verdict=verdict)
            mark = "" if verdict == "slip" else "reading"
            hit = None if verdict == "slip" else int(verdict == "ok")
            put(connection, "attempts", **act, task="reading", outcome=verdict, mark=mark, hit=hit)
        put(connection, "visits", run="r2", seq=9, trainee="T-02", step="read-gauge", hints=2)
        put(
            connection,
            "plates",
            run="r2",
            plate=1,
            trainee="T-02",
            step="read-gauge",
            how="spoiled",
            reason="kinked",
        )
        for name, seq, key, right in (("r1", 11, "a", 1), ("r2", 11, "b", 0), ("r3", 11, "a", 1)):
            act = {"run": name, "seq": seq, "at": AT, "trainee": "T-01", "step": "ask-vacuum"}
            put(
                connection,
                "answers",
                **act,
                name="why_vacuum",
                form="choice",
                answer=json.dumps([key]),
                right=right,
            )
            put(connection, "attempts", **act, task="quiz", outcome="x", mark="quiz", hit=right)
        for name, seq, task, outcome, hit in (
            ("r1", 21, "wait", "late", 0),
            ("r2", 21, "wait", "on_time", 1),
            ("r3", 21, "wait", "on_time", 1),
            ("r3", 40, "fault", "thin-developer", 0),
            ("r3", 19, "pick", "right", 1),
        ):
            act = {"run": name, "seq": seq, "at": AT, "trainee": "T-02", "step": "rub"}
            put(
                connection,
                "attempts",
                **act,
                task=task,
                outcome=outcome,
                mark={"wait": "window"}.get(task, task),
                hit=hit,
            )
        second: Act = {"run": "r2", "seq": 19, "at": AT, "trainee": "T-02", "step": "rub"}
        put(connection, "attempts", **second, task="pick", outcome="right", mark="")
        yield connection


def done(found: AtStep) -> list[tuple[str, int, bool | None]]:
    """What was done, how often, whether it was good."""
    return [(one.what, one.times, one.good) for one in found.done]


def test_readings_are_told_by_verdict(record: sqlite3.Connection) -> None:
    """Good ones together with range and median, a miss by its value, slips together; no excused run."""
    found = at_step(record, NOBODY, PLATES, "read-gauge", FACTS)
    assert done(found) == [
        ("21 to 24 inHg, median 22", 3, True),
        ("17 inHg", 2, False),
        ("slips of the keys, asked again", 1, None),
    ]
    assert found.done[1].acts == (("r2", 2), ("r1", 1))


def test_many_misses_are_told_by_their_side(record: sqlite3.Connection) -> None:
    """Of eight different values missed: those under the good ones, over them, and among them."""
    for seq, value in enumerate((3, 5, 8, 12, 23, 27, 28, 29), 50):
        put(
            record,
            "readings",
            run="r1",
            seq=seq,
            at=AT,
            trainee="T-01",
            step="read-gauge",
            value=value,
            unit="inHg",
            verdict="miss",
        )
    told = {
        what: times
        for what, times, good in done(at_step(record, NOBODY, PLATES, "read-gauge", FACTS))
        if good is False
    }
    assert told == {"under: 3 to 17 inHg": 6, "over: 27 to 29 inHg": 3, "among the good ones: 23 inHg": 1}


def test_people_are_those_who_worked_there(record: sqlite3.Connection) -> None:
    """Misses of marked attempts, key points asked for, plates given up, and the acts they rest on."""
    found = at_step(record, NOBODY, PLATES, "read-gauge", FACTS)
    told = [
        (one.trainee, one.misses.k, one.misses.n, one.hints, one.spoiled, one.acts) for one in found.people
    ]
    assert told == [
        ("T-01", 1, 2, 0, 0, (("r1", 2), ("r1", 1))),
        ("T-02", 1, 3, 2, 1, (("r3", 1), ("r2", 3), ("r2", 2))),
    ]


def test_a_fault_of_the_plate_is_no_attempt_at_the_step(record: sqlite3.Connection) -> None:
    """It is told with what was done, and is no miss: a pick, a late wait and two good ones are left."""
    found = at_step(record, NOBODY, PLATES, "rub", FACTS)
    assert [(one.misses.k, one.misses.n) for one in found.people] == [(1, 4)]


def test_filters_hold_here_too(record: sqlite3.Connection) -> None:
    """A trainee or a kind of run that is wanted leaves out the others; another procedure has nothing."""
    only = at_step(record, Wanted(trainees=("T-02",), kind="wet"), PLATES, "read-gauge", None)
    assert [one.trainee for one in only.people] == ["T-02"]
    assert [times for _, times, _ in done(only)] == [1, 1, 1]
    assert only.people[0].misses.n == 2
    assert at_step(record, NOBODY, "other", "read-gauge", None) == AtStep((), ())


def test_answers_stand_in_their_words(record: sqlite3.Connection) -> None:
    """The words of an answer where the procedure is known, else its key."""
    known = at_step(record, NOBODY, PLATES, "ask-vacuum", FACTS)
    assert done(known) == [("Light creeps", 2, True), ("Glass breaks", 1, False)]
    assert [what for what, _, _ in done(at_step(record, NOBODY, PLATES, "ask-vacuum", None))] == ["a", "b"]


def test_outcomes_and_faults_stand_in_words(record: sqlite3.Connection) -> None:
    """Picks (second ones with the first), waits by how they ended, what the bench proved of a plate."""
    assert done(at_step(record, NOBODY, PLATES, "rub", FACTS)) == [
        ("picked as what comes next", 2, True),
        ("ended on time", 2, True),
        ("ended late", 1, False),
        ("fault on the plate: thin developer", 1, False),
    ]


@pytest.mark.parametrize("answer", ["not json", '"a text"', "[]", '["\\u001b[2J[CAUTION]"]'])
def test_a_row_that_is_odd_is_told_as_it_stands(record: sqlite3.Connection, answer: str) -> None:
    """An answer that is no list, or hostile, gives text, and nothing that a terminal obeys."""
    record.execute("UPDATE answers SET answer = ?", (answer,))
    found = at_step(record, NOBODY, PLATES, "ask-vacuum", FACTS)
    assert sum(one.times for one in found.done) == 3
    assert all(one.what.isprintable() and one.what for one in found.done)
