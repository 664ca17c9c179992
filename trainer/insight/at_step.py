"""What was done at one step, read off the record's tables by SQL: answers, readings, outcomes, by whom."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import median

from trainer.insight.facts import ProcedureFacts
from trainer.insight.glance import where
from trainer.insight.intervals import rate
from trainer.insight.results import Rate, Wanted
from trainer.procedure.text import one_line
from trainer.record.asking import Asked

Act = tuple[str, int]
"""A run, and the number of the event in it."""
_Row = tuple[object, ...]
SINGLE = 5
"""Different values missed that are told one by one."""
OUTCOMES = {
    "on_time": "ended on time",
    "early": "ended early",
    "late": "ended late",
    "said": "said to be over",
    "passed": "signed: passed",
    "not_yet": "signed: not yet",
    "accepted": "read and accepted",
    "taken": "new value taken",
}
"""Outcomes whose word in the record says too little by itself."""


@dataclass(frozen=True, slots=True)
class Done:
    """One thing that was done, answered or read. good: None where nobody marks it."""

    what: str
    acts: tuple[Act, ...]
    good: bool | None = None

    @property
    def times(self) -> int:
        """How often."""
        return len(self.acts)


@dataclass(frozen=True, slots=True)
class Person:
    """A trainee at the step. misses: of the attempts marked there, without faults. acts: those attempts."""

    trainee: str
    misses: Rate
    hints: int
    spoiled: int
    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class AtStep:
    """What was done at a step, most often first, and the trainees in the order of their codes."""

    done: tuple[Done, ...]
    people: tuple[Person, ...]


def at_step(
    connection: Asked, wanted: Wanted, procedure: str, step: str, facts: ProcedureFacts | None
) -> AtStep:
    """Read it, in runs that count. facts: what answers are called, where they are known.

    Raises sqlite3.Error; inside `glance.looking` that becomes a sentence.
    """
    reader = _Reader(connection, wanted, procedure, step)
    done = [*_readings(reader), *_answers(reader, facts), *_outcomes(reader)]
    return AtStep(tuple(sorted(done, key=lambda one: -one.times)), tuple(_people(reader)))


@dataclass(frozen=True, slots=True)
class _Reader:
    """Rows of one step in runs that count."""

    connection: Asked
    wanted: Wanted
    procedure: str
    step: str

    def rows(self, table: str, columns: str, more: str = "") -> list[_Row]:
        """The columns of a table of acts, run by run."""
        condition, values = where(self.wanted, f"{table}.trainee")
        order = "seq" if table != "plates" else "plate"
        return self.connection.execute(
            f"SELECT {columns} FROM {table} JOIN runs USING (run) "  # noqa: S608 - our tables and columns
            f"WHERE {table}.step = ? AND runs.procedure = ? AND runs.excused = '' AND {condition} {more} "
            f"ORDER BY {table}.run, {table}.{order}",
            (self.step, self.procedure, *values),
        ).fetchall()


def _readings(reader: _Reader) -> list[Done]:
    """Good ones together, slips of the keys together, then misses."""
    rows = sorted(reader.rows("readings", "readings.run, seq, value, unit, verdict"), key=_value)
    good, slips, missed = ([row for row in rows if row[4] == verdict] for verdict in ("ok", "slip", "miss"))
    found = _missed(missed, good)
    if good:
        middle = median(_value(row) for row in good)
        found.append(Done(f"{_range(good)}, median {middle:.4g}", _acts(good), good=True))
    if slips:
        found.append(Done("slips of the keys, asked again", _acts(slips)))
    return found


def _missed(rows: list[_Row], good: list[_Row]) -> list[Done]:
    """Each value by itself where they are few; else those under the good ones, over them, and among them."""
    single = len({_value(row) for row in rows}) <= SINGLE
    least, most = (_value(good[0]), _value(good[-1])) if good else (0.0, 0.0)
    same: dict[str, list[_Row]] = {}
    for row in rows:
        value = _value(row)
        side = f"{value:.4g}" if single else ""
        if good and not single:
            side = "under: " if value < least else "over: " if value > most else "among the good ones: "
        same.setdefault(side, []).append(row)
    return [
        Done(("" if single else side) + _range(alike), _acts(alike), good=False)
        for side, alike in same.items()
    ]


def _value(row: _Row) -> float:
    return float(str(row[2]))


def _range(rows: list[_Row]) -> str:
    """From the least value to the largest, with the unit; rows in the order of their values."""
    least, most = f"{_value(rows[0]):.4g}", f"{_value(rows[-1]):.4g}"
    return f"{least if least == most else f'{least} to {most}'} {one_line(str(rows[0][3]))}"


def _acts(rows: Iterable[_Row]) -> tuple[Act, ...]:
    """Newest first: ids of runs rise with time."""
    return tuple(sorted(((str(row[0]), int(str(row[1]))) for row in rows), reverse=True))


def _answers(reader: _Reader, facts: ProcedureFacts | None) -> list[Done]:
    rows = reader.rows("answers", "answers.run, seq, name, answer, right")
    same: dict[tuple[str, object], list[_Row]] = {}
    for row in rows:
        said = _called(str(row[2]), _keys(str(row[3])), facts)
        same.setdefault((said, row[4]), []).append(row)
    return [_made(said, right, rows) for (said, right), rows in same.items()]


def _made(said: str, hit: object, rows: Iterable[_Row]) -> Done:
    """hit: as the record has it, 0, 1 or nothing."""
    return Done(said, _acts(rows), None if hit is None else bool(hit))


def _keys(answer: str) -> list[str]:
    """The keys of an answer; as it stands where it is no list."""
    try:
        found = json.loads(answer)
    except json.JSONDecodeError:
        return [one_line(answer)]
    return [one_line(str(key)) for key in found] if isinstance(found, list) else [one_line(answer)]


def _called(name: str, keys: list[str], facts: ProcedureFacts | None) -> str:
    known: Mapping[str, str] = {}
    if facts is not None and name in facts.questions:
        known = dict(facts.questions[name].options)
    return ", ".join(known.get(key, key) for key in keys) or "nothing"


def _outcomes(reader: _Reader) -> list[Done]:
    """What is neither a reading nor an answer: those stand in tables of their own."""
    other = "AND task NOT IN ('reading', 'quiz', 'judge')"
    rows = reader.rows("attempts", "attempts.run, seq, outcome, hit, mark, attempts.task", other)
    same: dict[str, list[_Row]] = {}
    for row in rows:
        same.setdefault(_outcome(str(row[5]), str(row[2])), []).append(row)
    return [_made(said, _hit(rows), rows) for said, rows in same.items()]


def _hit(rows: list[_Row]) -> object:
    """Whether it is a hit, where any of them is marked: a second pick is not."""
    return next((row[3] for row in rows if row[4]), None)


def _outcome(task: str, outcome: str) -> str:
    if task == "pick":
        return "picked as what comes next" if outcome == "right" else "something else picked"
    if task == "fault":
        return f"fault on the plate: {one_line(outcome).replace('-', ' ')}"
    return OUTCOMES.get(outcome, one_line(outcome).replace("_", " "))


def _people(reader: _Reader) -> Iterable[Person]:
    marked: dict[str, list[_Row]] = {}
    for row in reader.rows(
        "attempts", "attempts.run, seq, attempts.trainee, hit", "AND mark NOT IN ('', 'fault')"
    ):
        marked.setdefault(str(row[2]), []).append(row)
    hints: dict[str, int] = {}
    for trainee, asked in reader.rows("visits", "visits.trainee, visits.hints"):
        hints[str(trainee)] = hints.get(str(trainee), 0) + int(str(asked))
    spoiled: dict[str, int] = {}
    for (trainee,) in reader.rows("plates", "plates.trainee", "AND how = 'spoiled'"):
        spoiled[str(trainee)] = spoiled.get(str(trainee), 0) + 1
    for trainee in sorted({*marked, *hints, *spoiled} - {""}):
        rows = marked.get(trainee, [])
        missed = sum(not row[3] for row in rows)
        yield Person(
            one_line(trainee),
            rate(missed, len(rows)),
            hints.get(trainee, 0),
            spoiled.get(trainee, 0),
            _acts(rows),
        )
