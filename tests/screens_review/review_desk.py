"""What the tests of the review share: a class by hand, a desk that reads nothing, small records."""

from __future__ import annotations

import atexit
from collections.abc import Iterable
from copy import copy
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from shutil import copytree, rmtree
from tempfile import mkdtemp
from typing import get_args

from record_kit import Station, short_run

from trainer.insight.glance import AttemptSeen, Glance, RunSeen, SkillSeen, TraineeSeen
from trainer.insight.intervals import rate
from trainer.insight.results import Finding, Review, SkillRow, SkillState, Wanted
from trainer.insight.states import state
from trainer.run import events as ev
from trainer.run.fakes import FakeClock
from trainer.screens.review.desk import Desk, Found
from trainer.screens.review.laying import Laid, lay
from trainer.screens.review.leaf import Item, Leaf, Opens, Size, Table, Words

SMALL, LARGE = Size(78, 21), Size(118, 37)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
STATES = get_args(SkillState)
SKILLS = ("contact", "exposure", "developing", "film", "register", "finishing", "safety", "handling")


def run_seen(number: int, trainee: str = "T-01", **changes: object) -> RunSeen:
    """A run that is done, so many days after the first."""
    at = NOON + timedelta(days=number)
    made = RunSeen(
        run=f"run-{number}",
        trainee=trainee,
        procedure="two-burns",
        guidance="cued",
        rehearsal=False,
        station="sink 1",
        job="tide table",
        colour="blue",
        opened_at=at,
        last_at=at + timedelta(hours=1),
        closed="done",
        reason="",
        plate=1,
        spoiled=0,
        hints=0,
        excused="",
        content_hash="0" * 64,
    )
    return replace(made, **changes)  # type: ignore[arg-type] # fields by name


def skill_seen(k: int, n: int) -> SkillSeen:
    """So many hits, the last ones among them first."""
    recent = min(10, n)
    hits = min(k, recent)
    return SkillSeen(k, n, hits, recent, state(hits, recent))


def hand_glance(trainees: int = 3, *, skills: int = 3, invented: str = "") -> Glance:
    """A class by hand: each trainee with a run, and all states among the skills."""
    codes = [f"T-{number:02}" for number in range(1, trainees + 1)]
    runs = [run_seen(number, code) for number, code in enumerate(codes)]
    tried = ((2, 10), (7, 10), (10, 10), (1, 2))
    by = {
        (code, skill): skill_seen(*tried[(place + number) % 4])
        for number, code in enumerate(codes)
        for place, skill in enumerate(SKILLS[:skills])
        if (place + number) % 5 != 4
    }
    return Glance(
        runs=tuple(reversed(runs)),
        trainees=tuple(
            TraineeSeen(run.trainee, 1, 1, run.last_at, number % 3) for number, run in enumerate(runs)
        ),
        skills=SKILLS[:skills],
        by=by,
        procedures=("exposure-test", "two-burns"),
        everybody=tuple(codes),
        newest=runs[-1].opened_at if runs else None,
        last_at=runs[-1].last_at if runs else None,
        invented=invented,
        names={"T-02": "Ada"},
    )


class StillDesk(Desk):
    """A desk over values by hand: it reads no record, and there is none to find anything in."""

    def __init__(
        self, glance: Glance, review: Review | None = None, path: Path = Path("no-record.db")
    ) -> None:
        self.by_hand = glance
        self.tried: tuple[AttemptSeen, ...] = ()
        self.settled = review is not None
        super().__init__(path, FakeClock("2026-04-01T12:00:00.000Z"))
        self.review = review
        if review is not None:
            self.state = ""

    def _look(self) -> Glance:
        return self.by_hand

    def take(self, found: Found) -> bool:
        """What was found by hand stays."""
        return not self.settled and super().take(found)

    def any_run(self, run: str) -> RunSeen | None:
        """A run of those by hand."""
        return self.run(run)

    def attempts(self, *, trainee: str = "", skill: str = "") -> tuple[AttemptSeen, ...]:
        """Of the attempts by hand."""
        return tuple(one for one in self.tried if trainee in ("", one.trainee) and skill in ("", one.skill))


def finding(words: str = "T-01 gets contact right in 9 of 24 attempts.", **changes: object) -> Finding:
    """A finding about T-01 at contact."""
    made = Finding(
        kind="weak-skill",
        level="act",
        subject="skill",
        keys=("T-01", "contact"),
        words=words,
        why="The others get it right in 181 of 214.",
        n=24,
        method="weak-skill",
        p=0.0004,
        runs=("run-0",),
    )
    return replace(made, **changes)  # type: ignore[arg-type] # fields by name


def skill_row(trainee: str, skill: str, k: int, n: int) -> SkillRow:
    """A trainee at a skill."""
    seen = skill_seen(k, n)
    return SkillRow(
        trainee=trainee,
        skill=skill,
        rate=rate(k, n),
        recent=rate(seen.recent_k, seen.recent_n),
        peers=rate(181, 214),
        state=seen.state,
        hints=2,
        faults=0,
        last_at=NOON,
        runs=("run-0",),
    )


EMPTY = Review(
    wanted=Wanted(),
    at=NOON,
    runs=3,
    trainees=("T-01", "T-02", "T-03"),
    provisional=True,
)


def kept_record(folder: Path, excused: Iterable[str] = ()) -> Path:
    """A record of three short runs, two by T-01 and one by T-02; those named are excused."""
    station = copy(_three_runs())
    station.path = folder / "station" / "record.db"
    station.kept = dict(station.kept)
    copytree(_three_runs().path.parent, station.path.parent)
    if excused:
        with station.open() as journal:
            for run in excused:
                journal.take_lease(run)
                station.kept[run] = list(station.kept[run])
                station.keep(journal, run, (None, ev.RunExcused("I-1", "The lamp failed")))
    return station.path


@cache
def _three_runs() -> Station:
    """Made once: every act is brought to the disk."""
    station = Station(Path(mkdtemp()))
    atexit.register(rmtree, station.path.parent.parent)
    with station.open() as journal:
        for run, trainee in (("r1", "T-01"), ("r2", "T-02"), ("r3", "T-01")):
            short_run(station, journal, run, trainee)
            station.clock.pass_time(86_400)
    return station


def said(leaf: Leaf, width: int = SMALL.width) -> str:
    """All lines of a leaf."""
    return "\n".join(line.plain.rstrip() for line in laid(leaf, width).lines)


def laid(leaf: Leaf, width: int = SMALL.width) -> Laid:
    """A leaf laid out."""
    return lay(leaf, width)


def opening(leaf: Leaf) -> list[Opens]:
    """All that a leaf opens, in order."""
    return [spot.opens for spot in laid(leaf).spots]


def words_of(items: Iterable[Item]) -> list[str]:
    """The paragraphs among items."""
    return [str(item.text) for item in items if isinstance(item, Words)]


def table_of(leaf: Leaf) -> Table:
    """The last table of a leaf."""
    return [item for item in leaf.items if isinstance(item, Table)][-1]
