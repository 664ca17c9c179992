"""The review of an invented class, from its events: what is said of it, and what of that was planted."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass

from trainer.insight.facts import Facts, facts_of
from trainer.insight.frames import Frames
from trainer.insight.read import frames_of
from trainer.insight.results import Finding, Wanted
from trainer.insight.review import review
from trainer.procedure.load import load_bytes
from trainer.record import schema
from trainer.record.projections import Projector
from trainer.rehearsal.invented.making import Class
from trainer.rehearsal.invented.planted import Planted
from trainer.run import events as ev
from trainer.run.events import Event

SURE = {"weak-skill", "step-trips", "question-bad", "drift"}
"""Kinds of findings that say that something is wrong with somebody or something, and may be mistaken."""


@dataclass(frozen=True)
class Told:
    """What was said. found: which of the planted ones, in words. false: what was not planted, as it was said.

    sure: how many findings of the kinds `SURE` there were, false ones too; a lamp may have two.
    """

    planted: frozenset[str]
    found: frozenset[str]
    false: tuple[str, ...]
    sure: int


def told(class_: Class) -> Told:
    """Review the class on its last day, and hold what is said against what was planted."""
    return told_of(frames_of_runs(class_.runs), facts_of_sources(class_.sources), class_.planted)


def told_of(frames: Frames, facts: Facts, hidden: Planted) -> Told:
    """The same of the tables of its record."""
    now = frames.runs["last_at"].max()
    findings = review(frames, facts, Wanted(), now, invented="yes").findings  # type: ignore[arg-type]
    names = {f"{one.trainee} at {one.skill}" for one in hidden.weak}
    names |= {f"step {hidden.ambiguous}"} if hidden.ambiguous else set()
    names |= {f"question at {hidden.question}"} if hidden.question else set()
    names |= {f"lamp at {hidden.drift.station}"} if hidden.drift is not None else set()
    tested = [(one, _about(one, facts)) for one in findings if one.kind in SURE]
    false = tuple(one.words for one, about in tested if about not in names)
    found = frozenset(about for _, about in tested if about in names)
    return Told(frozenset(names), found, false, len(tested))


def _about(finding: Finding, facts: Facts) -> str:
    """What a finding is about, in the words in which what is planted is named."""
    match finding.kind:
        case "weak-skill":
            return f"{finding.keys[0]} at {finding.keys[1]}"
        case "step-trips":
            return f"step {finding.keys[1]}"
        case "drift":
            return f"lamp at {finding.keys[0]}"
        case _:
            procedure, name = finding.keys[:2]
            asked = (one.questions[name].step for one in facts.values() if one.id == procedure)
            return f"question at {next(asked)}"


def frames_of_runs(runs: Iterable[Sequence[Event]]) -> Frames:
    """The tables that a record of these runs would have, without the record."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        for statement in schema.PROJECTIONS:
            connection.execute(statement)
        for run in runs:
            person, tables = "", Projector(connection, run[0].run)
            for event in run:
                if isinstance(event.body, ev.RunOpened):
                    person = event.body.trainee
                tables.take(event, person)
                if isinstance(event.body, ev.RunHandedOver):
                    person = event.body.to
            tables.save()
        return frames_of(connection)


def facts_of_sources(sources: Mapping[str, bytes]) -> Facts:
    """Facts of the procedures, by content hash."""
    plans = (load_bytes(source, "kept").require() for source in sources.values())
    return {plan.content_hash: facts_of(plan) for plan in plans}
