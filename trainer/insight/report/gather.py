"""From a record's file to the material of a page. The one module here that reads anything."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import places
from trainer.insight.facts import newest
from trainer.insight.glance import looking
from trainer.insight.report.material import Check, Head, Kept, Material, RunLine
from trainer.insight.report.names import Names
from trainer.insight.report.own_part import own_part
from trainer.insight.report.words import by_school
from trainer.insight.results import Wanted
from trainer.record import heads
from trainer.record.findings import Report
from trainer.record.migrations import applied
from trainer.record.part import Part, narrow, part_of, refuse_unknown
from trainer.record.store import snapshot
from trainer.record.verify import verify
from trainer.run.clock import to_ms
from trainer.run.ports import Clock, JournalTrouble

if TYPE_CHECKING:
    from trainer.insight.frames import Frames
    from trainer.insight.read import ClassRecord
    from trainer.record.part import Place


def gathered(path: Place, wanted: Wanted, clock: Clock, *, verified: bool = False) -> Gathered:
    """A record read once, for as many pages as are wanted.

    Nothing is read but what `wanted` asks for; trainees apart, who are told apart here. verified: the whole
    record is looked over too, which takes long. Raises JournalTrouble, with a sentence, where the record
    cannot be read.
    """
    from trainer.insight.read import needed, read  # polars: a tenth of a second

    part = part_of(path)
    record = read(part, only=needed(wanted))
    refuse_unknown("procedure", wanted.procedures, record.works, f"the record {_shown(part)}")
    now = record.looked_at(datetime.fromtimestamp(to_ms(clock.now().at) / 1000, UTC))
    report = _looked_over(part) if verified else None
    rows, events = _listed(part)
    return Gathered(part, record, replace(wanted, trainees=()), now, tuple(rows), events, report)


@dataclass(frozen=True, slots=True)
class Gathered:
    """What pages are made of. heads, events: the record's list of runs, and how many events it holds."""

    part: Part
    record: ClassRecord
    wanted: Wanted
    now: datetime
    heads: tuple[heads.HeadRow, ...]
    events: int
    report: Report | None

    def trainees(self) -> list[str]:
        """The codes of everybody who did anything in what is wanted, in order."""
        import polars as pl

        frames = self.record.frames
        runs = [run.run for run in runs_of(frames) if is_wanted(run, self.wanted)]
        mine = pl.col("run").is_in(runs)
        codes = {*frames.runs.filter(mine)["trainee"], *frames.visits.filter(mine)["trainee"]}
        return sorted((code for code in codes if code), key=by_school)

    def of_class(self) -> Material:
        """For the page about everybody."""
        kept = Kept(
            runs=len(self.heads),
            events=self.events,
            openings=self.heads[-1].opened.hex() if self.heads and _is_whole_file(self.part) else "",
            heads=self._listed(None),
            check=None if self.report is None else _check(self.report),
        )
        return self._material(self.record.frames, self.wanted, self.record.troubles, kept)

    def of_trainee(self, trainee: str) -> Material:
        """For the page about one, made of that one's rows. Raises JournalTrouble where there are none."""
        frames = own_part(self.record.frames, trainee)
        if frames.runs.is_empty():
            raise JournalTrouble(
                f"No run of {trainee} is in the record {_shown(self.part)}. See the code again."
            )
        listed = self._listed(set(frames.runs["run"]))
        kept = Kept(len(listed), sum(one.count for one in listed), "", listed, _own_check(self.report))
        # Sentences on what cannot be read may be about anybody's runs, so none stands here.
        return self._material(frames, replace(self.wanted, trainees=(trainee,)), (), kept)

    def _material(self, frames: Frames, wanted: Wanted, troubles: tuple[str, ...], kept: Kept) -> Material:
        from trainer.insight.review import review

        record = self.record
        found = review(frames, record.facts, wanted, self.now, invented=record.invented, troubles=troubles)
        return Material(
            review=found,
            names=Names(newest(record.facts)),
            runs=tuple(run for run in runs_of(frames) if is_wanted(run, wanted)),
            kept=kept,
            methods=(places.guide_dir() / "methods.md").read_text(encoding="utf-8"),
            places=(*self.part.schools, *self.part.stations),
            is_shared=not isinstance(self.part.record, Path),
        )

    def _listed(self, own: set[str] | None) -> tuple[Head, ...]:
        """The list of runs. own: of these alone; None: all."""
        return tuple(
            Head(row.number, row.run, row.count, row.shown().short)
            for row in self.heads
            if own is None or row.run in own
        )


def _is_whole_file(part: Part) -> bool:
    """Whether one list of runs has all that is looked at: a shared record has a list for each station."""
    return isinstance(part.record, Path) and not part.stations


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


def _shown(part: Part) -> str:
    return str(part.record) if isinstance(part.record, Path) else part.record.shown


def _looked_over(part: Part) -> Report:
    """The whole file looked over; of the shared record, the stations of the part."""
    if isinstance(part.record, Path):
        return verify(part.record)
    from trainer.record.shared.connecting import connected
    from trainer.record.shared.verifying import verify as look_over  # psycopg: 60 ms

    with connected(part.record) as connection:
        return look_over(connection, part.schools, part.stations)


def _listed(part: Part) -> tuple[list[heads.HeadRow], int]:
    """The record's list of runs, and how many events it holds."""
    if isinstance(part.record, Path):
        with snapshot(part.record) as copy:
            if not applied(copy, part.record):
                return [], 0
            narrow(copy, part, ("heads", "events"))
            return heads.all_rows(copy), copy.execute(_EVENTS).fetchone()[0]
    with looking(part) as shared:
        return heads.all_rows(shared), shared.execute(_EVENTS).fetchone()[0]


_EVENTS = "SELECT count(*) FROM events"


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
