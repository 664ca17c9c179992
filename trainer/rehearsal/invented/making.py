"""An invented class: fourteen trainees over a term, made from a seed by driving the real run and bench."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache, partial
from multiprocessing import get_context

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.rehearsal.invented import term
from trainer.rehearsal.invented.chance import dice
from trainer.rehearsal.invented.hand import Hand
from trainer.rehearsal.invented.keeping import Kept
from trainer.rehearsal.invented.people import trainee
from trainer.rehearsal.invented.planted import Planted, planted
from trainer.rehearsal.invented.stations import station
from trainer.rehearsal.invented.term import Session
from trainer.rehearsal.invented.turns import work
from trainer.run.events import Event
from trainer.run.ids import Ids
from trainer.run.session import Run

RUNS = 400
JOB = "tide-table card"
_COLOURS = ("black", "blue")
_CHUNK = 8
_ENOUGH_FOR_TWO = 24
_SELDOM = 50_000
"""After so many new objects garbage is looked for; as often as usual, it takes a third of the time."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A class before anybody works.

    sessions: its runs, in the order in which they are opened. sources: the bytes of the procedures by content
    hash. planted: what is hidden in it.
    """

    seed: int
    sessions: tuple[Session, ...]
    sources: Mapping[str, bytes]
    planted: Planted


@dataclass(frozen=True, slots=True)
class Class:
    """An invented class: as `Begun`, and `runs`, the events of each of its sessions."""

    seed: int
    runs: tuple[tuple[Event, ...], ...]
    sessions: tuple[Session, ...]
    sources: Mapping[str, bytes]
    planted: Planted


def begin(seed: int, runs: int = RUNS, *, rehearsals: bool = True, plant: bool = True) -> Begun:
    """Who will do what, and what is hidden in it; quick.

    rehearsals: a fifth of the runs; without them all are wet, which takes a third of the time. plant: hide
    something in it.
    """
    hidden = planted(seed, term.TRAINEES, term.STATIONS, term.bounds()) if plant else Planted()
    alone = {code: trainee(seed, code, hidden).solo_from for code in term.TRAINEES}
    sessions = tuple(term.sessions(seed, runs, alone, rehearsals=rehearsals))
    sources = {plan.content_hash: plan.source for plan in map(plan_of, term.PROCEDURES)}
    return Begun(seed, sessions, sources, hidden)


def runs_of(begun: Begun, processes: int = 1) -> Iterator[tuple[Event, ...]]:
    """The events of each run, in order; the same however many processes work at it."""
    made = partial(one_run, begun.seed, begun.planted)
    if processes < 2 or len(begun.sessions) < _ENOUGH_FOR_TWO:
        yield from map(made, begun.sessions)
        return
    with ProcessPoolExecutor(processes, get_context("spawn"), gc.set_threshold, (_SELDOM,)) as pool:
        yield from pool.map(made, begun.sessions, chunksize=_CHUNK)


def make_class(
    seed: int, runs: int = RUNS, *, rehearsals: bool = True, plant: bool = True, processes: int = 1
) -> Class:
    """The class of a seed: the same seed, the same events. See `begin`."""
    begun = begin(seed, runs, rehearsals=rehearsals, plant=plant)
    made = tuple(runs_of(begun, processes))
    return Class(seed, made, begun.sessions, begun.sources, begun.planted)


def one_run(seed: int, hidden: Planted, session: Session) -> tuple[Event, ...]:
    """The events of one run of the term."""
    plan = plan_of(session.procedure)
    at = station(seed, session.station, hidden)
    clock = at.clock(session.at_ms)
    drawn = dice(seed, session.trainee, session.number, session.procedure, "work")
    ids = dice(seed, session.number, "ids")
    run_id = Ids(bits=ids.getrandbits).new(session.at_ms)
    kept = Kept(ids)
    colour = drawn.choice(_COLOURS)
    rehearsal = None
    if session.rehearsal:
        from trainer.rehearsal.rehearsal import Rehearsal  # the bench, which a wet run does not need

        rehearsal = Rehearsal.open(
            plan,
            run=run_id,
            trainee=session.trainee,
            guidance=session.guidance,
            settings={},
            journal=kept,
            clock=clock,
            job=JOB,
            colour=colour,
            station=session.station,
            seed=drawn.getrandbits(32),
            longest_gap=None,
        )
        run = rehearsal.run
    else:
        run = Run.open(
            plan,
            run=run_id,
            trainee=session.trainee,
            guidance=session.guidance,
            settings={},
            journal=kept,
            clock=clock,
            job=JOB,
            colour=colour,
            station=session.station,
        )
    who = trainee(seed, session.trainee, hidden)
    work(Hand(plan, run, clock, kept, who, session, at, hidden, drawn, rehearsal))
    return kept.events(run_id)


@cache
def plan_of(procedure: str) -> Plan:
    """The plan of a shipped procedure."""
    return load(places.procedures_dir() / f"{procedure}.yaml").require()
