"""All findings of a class's record, in one go."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

import polars as pl

from trainer.garbage import held_back
from trainer.insight import (
    bad_questions,
    charts,
    hazards,
    questions,
    ready,
    refresh,
    skills,
    steps,
    waste,
    weak,
)
from trainer.insight.agreement import agreement
from trainer.insight.curves import curves
from trainer.insight.dropped import LookUp
from trainer.insight.dropped import wanted as wanted_still
from trainer.insight.facts import Facts, ProcedureFacts, newest
from trainer.insight.frames import AT, Frames
from trainer.insight.joined import Joined, joined
from trainer.insight.peers import expected
from trainer.insight.results import Finding, Review, Wanted
from trainer.insight.standing import Compared, stands_out

SMALL_CLASS = 30
"""With fewer trainees everything is provisional."""
_ACTS = ("visits", "attempts", "answers", "readings", "exposures", "plates", "signatures")


@dataclass(frozen=True, slots=True)
class _Class:
    """What is looked at. every: all trainees. own: those wanted. always: all, of whatever kind and period."""

    frames: Frames
    every: Joined
    own: Joined
    always: Joined
    plans: dict[str, ProcedureFacts]
    wanted: Wanted
    now: datetime

    @property
    def provisional(self) -> bool:
        """Is the class too small for more than a first impression?"""
        return self.every.runs["trainee"].n_unique() < SMALL_CLASS

    @property
    def titles(self) -> dict[str, str]:
        """Titles of procedures, by id."""
        return {id_: one.title for id_, one in self.plans.items()}

    @property
    def skill_words(self) -> dict[str, str]:
        """What each skill is, by name."""
        return {name: words for one in self.plans.values() for name, words in one.skills.items()}

    def is_wanted(self, trainee: str) -> bool:
        """Is this one of those who are looked at?"""
        return not self.wanted.trainees or trainee in self.wanted.trainees


def review(  # noqa: PLR0913 - what is not counted is named where it is called
    frames: Frames,
    facts: Facts,
    wanted: Wanted,
    now: datetime,
    *,
    invented: str = "",
    troubles: tuple[str, ...] = (),
    look_up: LookUp = wanted_still,
) -> Review:
    """All that is found in what is wanted of `frames`. now: UTC. facts: by content hash.

    Runs that an instructor excused are shown and not counted. Trainees that are wanted are still compared
    with all others; readiness and refreshing look at all runs of a trainee, whatever the kind and the period.
    invented: empty for a real record. troubles: handed on. look_up: called between pieces of the work.
    """
    with held_back():
        return _review(
            frames, facts, Review(wanted, now, invented=bool(invented), troubles=troubles), look_up
        )


def _review(frames: Frames, facts: Facts, empty: Review, look_up: LookUp) -> Review:
    wanted, now = empty.wanted, empty.at
    asked = frames.runs.filter(_asked(wanted))
    every = _counted(frames, asked)
    whole = wanted == Wanted(trainees=wanted.trainees)
    own = joined(_of_trainees(every.frames, wanted.trainees)) if wanted.trainees else every
    always = every if whole else _counted(frames, frames.runs)
    look_up()
    class_ = _Class(frames, every, own, always, newest(facts), wanted, now)
    about = replace(
        empty,
        runs=own.runs.height,
        trainees=_trainees(class_),
        excused=_excused(asked, wanted),
        provisional=class_.provisional,
        titles=class_.titles,
    )
    work, of_work = _work(class_, about)
    look_up()
    found, of_people = _people(class_, work, _wrong(class_, work, of_work))
    said = stands_out([*of_people, *of_work])
    return replace(found, findings=tuple(one for one in said if _about_wanted(one, class_)))


def _trainees(class_: _Class) -> tuple[str, ...]:
    """Who did anything, also in a run that another went on with."""
    visitors = class_.own.visits["trainee"].unique().to_list()
    at_work = {*class_.own.runs["trainee"].unique().to_list(), *visitors}
    return tuple(sorted(filter(class_.is_wanted, at_work)))


def _asked(wanted: Wanted) -> pl.Expr:
    """Which runs are wanted, whoever did them."""
    checks = [pl.lit(value=True)]
    if wanted.procedures:
        checks.append(pl.col("procedure").is_in(list(wanted.procedures)))
    if wanted.kind is not None:
        checks.append(pl.col("rehearsal") == (wanted.kind == "rehearsal"))
    if wanted.since is not None:
        checks.append(pl.col("opened_at") >= pl.lit(wanted.since).cast(AT))
    if wanted.until is not None:
        checks.append(pl.col("opened_at") < pl.lit(wanted.until).cast(AT))
    return pl.all_horizontal(*checks)


def _counted(frames: Frames, runs: pl.DataFrame) -> Joined:
    return joined(replace(frames, runs=runs.filter(pl.col("excused") == "")))


def _of_trainees(frames: Frames, trainees: tuple[str, ...]) -> Frames:
    """What these trainees did; a run that was handed over counts for each of them with his or her part."""
    by_them = pl.col("trainee").is_in(list(trainees))
    acts = {name: getattr(frames, name).filter(by_them) for name in _ACTS}
    theirs = by_them | pl.col("run").is_in(acts["visits"]["run"].unique().implode())
    return replace(frames, runs=frames.runs.filter(theirs), **acts)


def _excused(asked: pl.DataFrame, wanted: Wanted) -> tuple[str, ...]:
    out = asked.filter(pl.col("excused") != "").sort("opened_at", "run")
    if wanted.trainees:
        out = out.filter(pl.col("trainee").is_in(list(wanted.trainees)))
    return tuple(out["run"].to_list())


def _wrong(class_: _Class, found: Review, compared: Iterable[Compared]) -> list[tuple[str, str]]:
    """Procedure and step of the steps and questions that are wrong by themselves, going by all trainees."""
    asked = found.questions
    if class_.own is not class_.every:
        every, plans = class_.every, class_.plans
        asked = questions.questions(every, plans)
        shown = steps.steps(every, plans)
        compared = (steps.stands_out(shown, every, plans), bad_questions.stands_out(asked, every))
    at = {(row.procedure, row.name): row.step for row in asked}
    said = [one.keys for one in stands_out(compared) if one.kind in ("step-trips", "question-bad")]
    return [(procedure, at.get((procedure, name), name)) for procedure, name in said]


def _people(class_: _Class, found: Review, wrong: Iterable[tuple[str, str]]) -> tuple[Review, list[Compared]]:
    """Findings about trainees, and what was compared for them. wrong: held against nobody."""
    rows = skills.skills(class_.every)
    every_ready = ready.ready(class_.frames, class_.plans, class_.now)
    may_alone = tuple(row for row in every_ready if _shown(row.trainee, row.procedure, class_))
    every_refresh = refresh.refresh(class_.always, class_.plans, class_.now)
    again = tuple(row for row in every_refresh if _shown(row.trainee, row.procedure, class_))
    standings = weak.standings(expected(class_.every, wrong))
    compared = [
        weak.stands_out(standings, rows, class_.skill_words, provisional=class_.provisional),
        ready.stands_out(may_alone, class_.titles),
        refresh.stands_out(again, class_.titles, class_.now),
    ]
    with_rows = replace(
        found,
        skills=tuple(row for row in rows if class_.is_wanted(row.trainee)),
        curves=curves(class_.own, rehearsal=class_.wanted.kind == "rehearsal"),
        ready=may_alone,
        refresh=again,
        agreement=agreement(class_.own),
    )
    return with_rows, compared


def _work(class_: _Class, found: Review) -> tuple[Review, list[Compared]]:
    """Findings about the work, and what was compared for them."""
    own, plans = class_.own, class_.plans
    with_rows = replace(
        found,
        steps=steps.steps(own, plans),
        hazards=hazards.hazards(own, plans),
        questions=questions.questions(own, plans),
        reliability=questions.reliabilities(own, plans),
        waste=waste.waste(own, plans),
        spoiled=waste.spoiled(own),
        charts=charts.charts(own, plans),
    )
    compared = [
        steps.stands_out(with_rows.steps, own, plans),
        hazards.stands_out(with_rows.hazards, plans),
        bad_questions.stands_out(with_rows.questions, own),
        charts.stands_out(with_rows.charts, plans),
        waste.stands_out(with_rows.waste, with_rows.spoiled, plans),
    ]
    return with_rows, compared


def _shown(trainee: str, procedure: str, class_: _Class) -> bool:
    procedures = class_.wanted.procedures
    return class_.is_wanted(trainee) and (not procedures or procedure in procedures)


def _about_wanted(finding: Finding, class_: _Class) -> bool:
    """Is this about somebody who is looked at?"""
    return finding.subject != "skill" or class_.is_wanted(finding.keys[0])
