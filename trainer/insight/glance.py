"""The class at a glance, read off the record's tables by SQL: what the first page of the review shows.

Nothing here imports polars: the page stands at once, and the findings come in later (`review`).
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.insight.results import SkillState, Wanted
from trainer.insight.states import RECENT, state
from trainer.procedure.text import one_line
from trainer.record import schema
from trainer.record.asking import Asked
from trainer.record.migrations import MIGRATIONS, applied, refuse_newer
from trainer.record.part import Part, narrow, part_of, stations_of
from trainer.record.store import snapshot, troubles
from trainer.run.events import PRACTICE
from trainer.run.ports import JournalTrouble

if TYPE_CHECKING:
    from trainer.record.part import Place

UNKNOWN = datetime.min.replace(tzinfo=UTC)
"""Stands for a time that the record does not tell."""


class Older(JournalTrouble):
    """The record has not seen all migrations; opening it for writing brings it up to date."""


@dataclass(frozen=True, slots=True)
class RunSeen:
    """A run in a line. closed: empty while open; done, stopped. excused: the reason, or empty."""

    run: str
    trainee: str
    procedure: str
    guidance: str
    rehearsal: bool
    station: str
    job: str
    colour: str
    opened_at: datetime
    last_at: datetime
    closed: str
    reason: str
    plate: int
    spoiled: int
    hints: int
    excused: str
    content_hash: str

    @property
    def practice(self) -> bool:
        """Is it fault practice, a plate looked at and no procedure gone through?"""
        return self.procedure == PRACTICE


@dataclass(frozen=True, slots=True)
class TraineeSeen:
    """A trainee's runs that count."""

    trainee: str
    runs: int
    wet: int
    last_at: datetime
    spoiled: int


@dataclass(frozen=True, slots=True)
class SkillSeen:
    """A trainee's attempts at a skill: `k` hits of `n`, and of the last ten."""

    k: int
    n: int
    recent_k: int
    recent_n: int
    state: SkillState


@dataclass(frozen=True, slots=True)
class Glance:
    """What stands on the first page.

    runs: newest first, those that an instructor excused too. skills: those with most attempts first; `by`:
    (trainee, skill). newest, last_at: of all the record, whatever is wanted, when the newest run was opened,
    and the last thing done. invented: the seed where the record says that it is invented, else empty. names:
    of people who have one, by code.
    """

    runs: tuple[RunSeen, ...]
    trainees: tuple[TraineeSeen, ...]
    skills: tuple[str, ...]
    by: Mapping[tuple[str, str], SkillSeen]
    procedures: tuple[str, ...]
    everybody: tuple[str, ...]
    newest: datetime | None
    last_at: datetime | None
    invented: str
    names: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class AttemptSeen:
    """One attempt: what it was, what came of it, after how long on the screen."""

    run: str
    seq: int
    at: datetime
    trainee: str
    procedure: str
    stage: str
    step: str
    skill: str
    mark: str
    outcome: str
    hit: bool
    seconds: float | None
    rehearsal: bool


@contextmanager
def looking(path: Place) -> Iterator[Asked]:
    """The record, a file or the shared one, or a part of it, for reading only, at one moment.

    Raises Trouble with a sentence.

    The file itself is read where that is safe; where a crash left a transaction half-done, a copy of it.
    """
    part = part_of(path)
    if not isinstance(part.record, Path):
        from trainer.record.shared.reading import reading  # psycopg: 60 ms

        with reading(part) as shared:
            yield shared
        return
    path = part.record
    with troubles(path):
        if not path.is_file():
            raise JournalTrouble(f"There is no record {path}. Name the right file with --record.")
        if path.with_name(f"{path.name}-journal").exists():
            with snapshot(path) as copy:
                _look_over(copy, part, path)
                yield copy
            return
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            connection.execute("BEGIN")
            _look_over(connection, part, path)
            yield connection


def _look_over(connection: sqlite3.Connection, part: Part, path: Path) -> None:
    known = applied(connection, path)
    refuse_newer(known, path)
    if known == 0:
        raise JournalTrouble(f"The record {path} is empty: nobody has worked with it yet.")
    if known < len(MIGRATIONS):
        raise Older(
            f"The record {path} was written by an older Sinkside and cannot be brought up to date as it lies "
            "there. Copy it to a place where it can be written, and name the copy with --record."
        )
    narrow(connection, part, _NARROWED)


_NARROWED = (*schema.READ, "events", "heads")
"""The tables of a file that have runs in them."""


def places(connection: Asked) -> tuple[tuple[str, str], ...]:
    """School and station of all that can be looked at, whatever part is; of a file the school is empty."""
    if isinstance(connection, sqlite3.Connection):
        return tuple(("", name) for name in stations_of(connection))
    from trainer.record.shared.reading import Reading

    return connection.places if isinstance(connection, Reading) else ()


def glance(connection: Asked, wanted: Wanted = Wanted()) -> Glance:  # noqa: B008 - it never changes
    """Read what the first page shows. Raises sqlite3.Error; inside `looking` that becomes a sentence."""
    runs = tuple(_runs(connection, wanted))
    counting = [run for run in runs if not run.excused and run.trainee]
    by = _skills(connection, wanted)
    most = Counter[str]()
    for (_, skill), seen in by.items():
        most[skill] += seen.n
    about = dict(connection.execute("SELECT name, value FROM about").fetchall())
    names = connection.execute("SELECT code, name FROM people WHERE name <> ''").fetchall()
    newest, last = connection.execute("SELECT max(opened_at), max(last_at) FROM runs").fetchone()
    everybody = connection.execute("SELECT DISTINCT trainee FROM runs WHERE trainee <> '' ORDER BY 1")
    works = connection.execute("SELECT DISTINCT procedure FROM runs WHERE procedure <> '' ORDER BY 1")
    return Glance(
        runs=runs,
        trainees=tuple(_trainees(counting, by)),
        skills=tuple(skill for skill, _ in sorted(most.items(), key=lambda one: (-one[1], one[0]))),
        by=by,
        procedures=tuple(one_line(row[0]) for row in works),
        everybody=tuple(one_line(row[0]) for row in everybody),
        newest=moment(newest) if newest else None,
        last_at=moment(last) if last else None,
        invented=one_line(str(about.get("invented", ""))),
        names={one_line(code): one_line(name) for code, name in names},
    )


RUN_COLUMNS = (
    "run, trainee, procedure, guidance, rehearsal, station, job, colour, opened_at, last_at, closed, reason, "
    "plate, spoiled, hints, excused, content_hash"
)
"""In the order of `RunSeen`."""


def _runs(connection: Asked, wanted: Wanted) -> Iterator[RunSeen]:
    condition, values = where(wanted)
    rows = connection.execute(
        f"SELECT {RUN_COLUMNS} FROM runs WHERE {condition} ORDER BY opened_at DESC, run DESC",  # noqa: S608 - our columns
        values,
    )
    yield from (run_seen(row) for row in rows)


def run_seen(row: tuple[object, ...]) -> RunSeen:
    """A row of `runs` with the columns `RUN_COLUMNS`, its texts clean."""
    cells: list[object] = [one_line(cell) if isinstance(cell, str) else cell for cell in row]
    cells[4] = bool(cells[4])
    cells[8], cells[9] = moment(row[8]), moment(row[9])
    return RunSeen(*cells)  # type: ignore[arg-type] # a row of the database has what its table says


def where(wanted: Wanted, person: str = "runs.trainee") -> tuple[str, tuple[str | int, ...]]:
    """The condition of SQL for what is wanted, and its values."""
    parts, values = ["TRUE"], list[str | int]()
    for column, chosen in ((person, wanted.trainees), ("runs.procedure", wanted.procedures)):
        if chosen:
            parts.append(f"{column} IN ({', '.join('?' * len(chosen))})")
            values += chosen
    if wanted.kind is not None:
        parts.append("runs.rehearsal = ?")
        values.append(int(wanted.kind == "rehearsal"))
    for sign, at in ((">=", wanted.since), ("<", wanted.until)):
        if at is not None:
            parts.append(f"runs.opened_at {sign} ?")
            values.append(as_text(at))
    return " AND ".join(parts), tuple(values)


def as_text(at: datetime) -> str:
    """A time as the record writes it."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.") + f"{at.microsecond // 1000:03}Z"


def moment(text: object) -> datetime:
    """A time of the record; UNKNOWN where it is none."""
    try:
        found = datetime.fromisoformat(str(text))
    except ValueError:
        return UNKNOWN
    return found if found.tzinfo else found.replace(tzinfo=UTC)


_MARKED = "attempts.mark <> '' AND attempts.hit IN (0, 1) AND runs.excused = ''"
"""What counts as an attempt."""


def _skills(connection: Asked, wanted: Wanted) -> dict[tuple[str, str], SkillSeen]:
    """By trainee and skill. Ids of runs rise with time, so rows come as things were done."""
    condition, values = where(wanted, "attempts.trainee")
    rows = connection.execute(
        f"SELECT attempts.trainee, attempts.skill, attempts.hit FROM attempts JOIN runs USING (run) "  # noqa: S608 - our columns
        f"WHERE {_MARKED} AND attempts.skill IS NOT NULL AND {condition} ORDER BY attempts.run, attempts.seq",
        values,
    )
    found: dict[tuple[str, str], list[int]] = {}
    for trainee, skill, hit in rows:
        found.setdefault((trainee, skill), []).append(hit)
    return {
        (one_line(trainee), one_line(skill)): _seen(hits)
        for (trainee, skill), hits in found.items()
        if trainee
    }


def _seen(hits: list[int]) -> SkillSeen:
    last = hits[-RECENT:]
    return SkillSeen(sum(hits), len(hits), sum(last), len(last), state(sum(last), len(last)))


def _trainees(runs: list[RunSeen], by: Iterable[tuple[str, str]]) -> Iterator[TraineeSeen]:
    """In the order of their codes; one who only did a part of another's run has no run of their own."""
    codes = sorted({run.trainee for run in runs} | {trainee for trainee, _ in by})
    own: dict[str, list[RunSeen]] = {code: [] for code in codes}
    for run in runs:
        own[run.trainee].append(run)
    for code, theirs in own.items():
        yield TraineeSeen(
            trainee=code,
            runs=len(theirs),
            wet=sum(not run.rehearsal for run in theirs),
            last_at=max((run.last_at for run in theirs), default=UNKNOWN),
            spoiled=sum(run.spoiled for run in theirs if not run.rehearsal),
        )


_ATTEMPT = (
    "attempts.run, seq, at, attempts.trainee, runs.procedure, attempts.stage, attempts.step, attempts.skill, "
    "mark, outcome, hit, seconds, runs.rehearsal"
)


def attempts(
    connection: Asked, wanted: Wanted, *, trainee: str = "", skill: str = ""
) -> tuple[AttemptSeen, ...]:
    """The attempts that count, newest first; of one trainee, at one skill, where they are named."""
    condition, values = where(wanted, "attempts.trainee")
    more = "".join(
        f" AND attempts.{column} = ?" for column, value in (("trainee", trainee), ("skill", skill)) if value
    )
    rows = connection.execute(
        f"SELECT {_ATTEMPT} FROM attempts JOIN runs USING (run) "  # noqa: S608 - our columns
        f"WHERE {_MARKED} AND {condition}{more} ORDER BY at DESC, seq DESC",
        (*values, *(value for value in (trainee, skill) if value)),
    )
    return tuple(_attempt(row) for row in rows)


def attempts_at(connection: Asked, acts: Iterable[tuple[str, int]]) -> tuple[AttemptSeen, ...]:
    """Single attempts by run and number, in the order asked for; those that are not there are left out."""
    found: list[AttemptSeen] = []
    for act in acts:
        row = connection.execute(
            f"SELECT {_ATTEMPT} FROM attempts JOIN runs USING (run) WHERE attempts.run = ? AND seq = ?",  # noqa: S608 - our columns
            act,
        ).fetchone()
        if row is not None:
            found.append(_attempt(row))
    return tuple(found)


def _attempt(row: tuple[object, ...]) -> AttemptSeen:
    cells: list[object] = [one_line(cell) if isinstance(cell, str) else cell for cell in row]
    cells[2] = moment(row[2])
    cells[7] = cells[7] or ""
    cells[10], cells[12] = bool(cells[10]), bool(cells[12])
    if isinstance(cells[11], float) and not isfinite(cells[11]):
        cells[11] = None
    return AttemptSeen(*cells)  # type: ignore[arg-type] # a row of the database has what its table says
