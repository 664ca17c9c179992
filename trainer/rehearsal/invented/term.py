"""Who works when, where and at what: the term of an invented class, drawn before anybody works."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from trainer.rehearsal.invented.chance import dice, one_of
from trainer.rehearsal.invented.planted import MAIN
from trainer.run.clock import to_ms
from trainer.run.events import Guidance

TRAINEES = tuple(f"T-{number:02}" for number in range(1, 15))
INSTRUCTORS = ("I-1", "I-2")
STATIONS = ("sink 1", "sink 2", "sink 3", "sink 4")
WEEKS = 14
BEGINS = "2026-08-17T00:00:00.000Z"
"""A Monday. The class is invented, and so is its term."""
_DAY, _HOUR = 86_400_000, 3_600_000
_DAYS = 5
_HOURS = (8.5, 11.5, 14.5)
_SHARES = {
    MAIN: 0.57,
    "exposure-test": 0.13,
    "positive-plate": 0.08,
    "closing-the-sink": 0.1,
    "polymer-relief-block": 0.04,
    "eye-splash": 0.04,
    "chemical-spill": 0.04,
}
"""The procedures, and how often each is done."""
PROCEDURES = tuple(_SHARES)
_REHEARSED = {MAIN: 0.22, "exposure-test": 0.6}
"""This share of what can be rehearsed is: a fifth of all runs."""
_TOLD_ALL = 2
"""So many runs of a procedure are done at guidance full."""
_ELSEWHERE = 0.4
"""What a run of another procedure counts for, as practice."""


@dataclass(frozen=True, slots=True)
class Session:
    """One run of the term before it is done.

    practice: runs of this trainee before it, those of other procedures for less. own: of this procedure.
    """

    number: int
    at_ms: int
    station: str
    trainee: str
    procedure: str
    guidance: Guidance
    rehearsal: bool
    instructor: str
    practice: float
    own: int


@dataclass(frozen=True, slots=True)
class _Place:
    """Which run it is, when, where, and whose."""

    number: int
    at_ms: int
    station: str
    trainee: str


@dataclass(slots=True)
class _Past:
    """What a trainee has done so far, and after how many runs of a procedure he or she works alone."""

    solo_from: int
    done: Counter[str] = field(default_factory=Counter)

    def practice(self, procedure: str) -> float:
        """It as practice for a procedure."""
        own = self.done[procedure]
        return own + _ELSEWHERE * (self.done.total() - own)


def bounds() -> tuple[int, int]:
    """First and last moment of the term, milliseconds since 1970."""
    begins = to_ms(BEGINS)
    return begins, begins + (WEEKS * 7 - 2) * _DAY


def sessions(
    seed: int, runs: int, solo_from: Mapping[str, int], *, rehearsals: bool = True
) -> Iterator[Session]:
    """The runs of a term, in order of their times. solo_from: runs of a procedure before solo, by trainee."""
    past = {code: _Past(solo_from[code]) for code in TRAINEES}
    slots = _slots(seed, runs)
    busy: dict[int, set[str]] = {}
    for number, (at_ms, station) in enumerate(slots, start=1):
        drawn = dice(seed, "session", number)
        taken = busy.setdefault(at_ms, set())
        trainee = min(
            (code for code in TRAINEES if code not in taken),
            key=lambda code: (past[code].done.total(), drawn.random()),
        )
        taken.add(trainee)
        place = _Place(number, at_ms, station, trainee)
        yield _session(seed, place, past[trainee], rehearsals=rehearsals)


def _slots(seed: int, runs: int) -> list[tuple[int, str]]:
    """When and where something is done: as evenly over the term as may be."""
    begins, _ = bounds()
    every = [
        (begins + (week * 7 + day) * _DAY + round(hour * _HOUR), station)
        for week in range(WEEKS)
        for day in range(_DAYS)
        for hour in _HOURS
        for station in STATIONS
    ]
    drawn = dice(seed, "slots")
    chosen = every * (runs // len(every)) + drawn.sample(every, runs % len(every))
    return sorted(chosen)


def _session(seed: int, place: _Place, past: _Past, *, rehearsals: bool) -> Session:
    trainee = place.trainee
    drawn = dice(seed, trainee, past.done.total(), "what")
    first = past.done.total() == 0
    procedure = MAIN if first else one_of(drawn, PROCEDURES, tuple(_SHARES.values()))
    rehearsed = drawn.random() < _REHEARSED.get(procedure, 0.0)
    own = past.done[procedure]
    guidance: Guidance = "full" if own < _TOLD_ALL else "cued" if own < past.solo_from else "solo"
    made = Session(
        number=place.number,
        at_ms=place.at_ms + drawn.randint(0, 600_000),
        station=place.station,
        trainee=trainee,
        procedure=procedure,
        guidance=guidance,
        rehearsal=rehearsals and rehearsed,
        instructor=one_of(drawn, INSTRUCTORS, (0.7, 0.3)),
        practice=past.practice(procedure),
        own=own,
    )
    past.done[procedure] += 1
    return made
