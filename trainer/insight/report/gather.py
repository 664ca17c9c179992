"""From a record's file to the material of a page. The one module here that reads anything."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import places
from trainer.insight.facts import newest
from trainer.insight.glance import looking
from trainer.insight.report.material import Check, Head, Kept, Material, RunLine
from trainer.insight.report.names import Names
from trainer.insight.report.own_part import own_part
from trainer.insight.results import Wanted
from trainer.record import heads
from trainer.record.findings import Report
from trainer.record.migrations import applied
from trainer.record.store import snapshot
from trainer.record.verify import verify
from trainer.run.clock import to_ms
from trainer.run.ports import Clock, JournalTrouble

if TYPE_CHECKING:
    from trainer.insight.frames import Frames
    from trainer.record.shared.reading import Place


def of_record(path: Place, wanted: Wanted, clock: Clock, *, verified: bool = False) -> Material:
    """What a page is written from: the class or, where `wanted` names a trainee, that one alone.

    verified: the whole record is looked over too, which takes long. Raises JournalTrouble, with a sentence,
    where the record cannot be read and where nobody has that code.
    """
    from trainer.insight.read import read  # polars: a tenth of a second
    from trainer.insight.review import review

    record = read(path)
    frames = record.frames
    troubles = record.troubles
    if wanted.trainees:
        (trainee,) = wanted.trainees
        frames = own_part(frames, trainee)
        if frames.runs.is_empty():
            raise JournalTrouble(f"No run of {trainee} is in the record {_shown(path)}. See the code again.")
        troubles = ()  # sentences about anybody's runs
    now = datetime.fromtimestamp(to_ms(clock.now().at) / 1000, UTC)
    if record.invented:
        now = _end(record.frames, now)
    found = review(frames, record.facts, wanted, now, invented=record.invented, troubles=troubles)
    return Material(
        review=found,
        names=Names(newest(record.facts)),
        runs=tuple(run for run in runs_of(frames) if is_wanted(run, wanted)),
        kept=_kept(path, set(frames.runs["run"]) if wanted.trainees else None, verified=verified),
        methods=(places.guide_dir() / "methods.md").read_text(encoding="utf-8"),
    )


def _end(frames: Frames, now: datetime) -> datetime:
    """The last moment of an invented record: its term is over, and would be ever longer ago."""
    last = frames.runs["last_at"].max()
    return last if isinstance(last, datetime) and last < now else now


def is_wanted(run: RunLine, wanted: Wanted) -> bool:
    """Whether a run is among those that were asked for."""
    return (
        (not wanted.procedures or run.procedure in wanted.procedures)
        and (wanted.kind is None or run.rehearsal is (wanted.kind == "rehearsal"))
        and (wanted.since is None or run.opened_at >= wanted.since)
        and (wanted.until is None or run.opened_at < wanted.until)
    )


def runs_of(frames: Frames) -> Iterable[RunLine]:
    """The runs, oldest first."""
    import polars as pl

    lost = frames.plates.filter(pl.col("how") == "spoiled")["run"].to_list()
    spoiled = Counter(lost)
    wanted = (
        "run",
        "trainee",
        "procedure",
        "rehearsal",
        "guidance",
        "opened_at",
        "closed",
        "handed",
        "excused",
    )
    rows = frames.runs.sort("opened_at", "run").select(wanted).iter_rows()
    for run, trainee, procedure, rehearsal, guidance, opened_at, closed, handed, excused in rows:
        yield RunLine(
            run=run,
            trainee=trainee,
            procedure=procedure,
            rehearsal=rehearsal,
            guidance=guidance,
            opened_at=opened_at,
            closed=closed or ("handed over" if handed else ""),
            plates_spoiled=spoiled[run],
            excused=excused,
        )


def _shown(path: Place) -> str:
    return str(path) if isinstance(path, Path) else path.shown


def _looked_over(path: Place) -> Report:
    if isinstance(path, Path):
        return verify(path)
    from trainer.record.shared.connecting import connected
    from trainer.record.shared.verifying import verify as look_over  # psycopg: 60 ms

    with connected(path) as connection:
        return look_over(connection)


def _listed(path: Place) -> tuple[list[heads.HeadRow], int]:
    """The record's list of runs, and how many events it holds."""
    if isinstance(path, Path):
        with snapshot(path) as copy:
            if not applied(copy, path):
                return [], 0
            return heads.all_rows(copy), copy.execute(_EVENTS).fetchone()[0]
    with looking(path) as shared:
        return heads.all_rows(shared), shared.execute(_EVENTS).fetchone()[0]


_EVENTS = "SELECT count(*) FROM events"


def _kept(path: Place, own: set[str] | None, *, verified: bool) -> Kept:
    """How much the record holds, and whether it is as written. own: the runs of one trainee; None: all."""
    report = _looked_over(path) if verified else None
    rows, events = _listed(path)
    listed = tuple(
        Head(row.number, row.run, row.count, row.shown().short)
        for row in rows
        if own is None or row.run in own
    )
    if own is not None:
        return Kept(len(listed), sum(one.count for one in listed), "", listed, _own_check(report))
    return Kept(
        runs=len(rows),
        events=events,
        openings=rows[-1].opened.hex() if rows and isinstance(path, Path) else "",
        heads=listed,
        check=None if report is None else _check(report),
    )


def _check(report: Report) -> Check:
    problems = tuple(one.message for one in report.findings if one.severity == "problem")
    return Check(report.ok, report.as_text().splitlines()[-1], problems)


def _own_check(report: Report | None) -> Check | None:
    """For one trainee: what was found, without a word about anybody else's runs."""
    if report is None:
        return None
    if report.ok:
        return Check(ok=True, verdict="the whole record is as it was written.", problems=())
    return Check(ok=False, verdict="Whoever keeps the station can say what that touches.", problems=())
