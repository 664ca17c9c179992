"""From a record's file to the material of a page. The one module here that reads anything."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import places
from trainer.insight.facts import newest
from trainer.insight.report.material import Head, Kept, Material, Paper, RunLine
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


def of_record(
    path: Path, wanted: Wanted, clock: Clock, *, paper: Paper | None = None, zone: tzinfo | None = None
) -> Material:
    """What a page is written from: the class or, where `wanted` names a trainee, that one alone.

    Raises JournalTrouble, with a sentence, where the record cannot be read and where nobody has that code.
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
            raise JournalTrouble(f"No run of {trainee} is in the record {path}. See the code again.")
        troubles = ()  # sentences about anybody's runs
    now = datetime.fromtimestamp(to_ms(clock.now().at) / 1000, UTC)
    found = replace(
        review(frames, record.facts, wanted, now), invented=bool(record.invented), troubles=troubles
    )
    return Material(
        review=found,
        names=Names(newest(record.facts)),
        runs=tuple(run for run in _runs(frames) if is_wanted(run, wanted)),
        kept=_kept(path, set(frames.runs["run"]) if wanted.trainees else None),
        methods=(places.guide_dir() / "methods.md").read_text(encoding="utf-8"),
        paper=paper,
        zone=zone,
    )


def is_wanted(run: RunLine, wanted: Wanted) -> bool:
    """Whether a run is among those that were asked for."""
    return (
        (not wanted.procedures or run.procedure in wanted.procedures)
        and (wanted.kind is None or run.rehearsal is (wanted.kind == "rehearsal"))
        and (wanted.since is None or run.opened_at >= wanted.since)
        and (wanted.until is None or run.opened_at < wanted.until)
    )


def _runs(frames: Frames) -> Iterable[RunLine]:
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


def _kept(path: Path, own: set[str] | None) -> Kept:
    """How much the record holds, and whether it is as written. own: the runs of one trainee; None: all."""
    report = verify(path)
    with snapshot(path) as copy:
        rows = heads.all_rows(copy) if applied(copy, path) else []
    listed = tuple(
        Head(row.number, row.run, row.count, row.shown().short)
        for row in rows
        if own is None or row.run in own
    )
    if own is not None:
        return _own_kept(report, listed)
    return Kept(
        runs=report.runs,
        events=report.events,
        openings=rows[-1].opened.hex() if rows else "",
        ok=report.ok,
        verdict=report.as_text().splitlines()[-1],
        problems=tuple(one.message for one in report.findings if one.severity == "problem"),
        heads=listed,
    )


def _own_kept(report: Report, listed: tuple[Head, ...]) -> Kept:
    """The same for one trainee: no count and no head of anybody else's runs."""
    verdict = "The whole record was looked over when this page was made: it is as it was written."
    if not report.ok:
        verdict = "The record is not as it was written. Whoever keeps the station can say what that touches."
    return Kept(len(listed), sum(one.count for one in listed), "", report.ok, verdict, (), listed)
