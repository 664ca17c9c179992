"""What the record's tests share: a station's folder, events of a short run, any history one can think of."""

from __future__ import annotations

import hashlib
import types
from collections.abc import Mapping, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Literal, Union, get_args, get_origin, get_type_hints

from hypothesis import strategies as st

from trainer.procedure.text import clean
from trainer.record.journal import StationJournal
from trainer.record.packing import unpacked
from trainer.run import events as e
from trainer.run import wire
from trainer.run.clock import to_ms
from trainer.run.events import Body, Event
from trainer.run.fakes import FakeClock
from trainer.run.ids import Ids
from trainer.run.ports import Journal

SOURCE = b"format: 1\nid: invented\n"


class Station:
    """A folder, a clock and what makes events: everything a test of the record needs."""

    def __init__(self, folder: Path, name: str = "record.db") -> None:
        self.path = folder / "station" / name
        self.clock = FakeClock()
        self.ids = Ids()
        self.kept: dict[str, list[Event]] = {}

    def open(self) -> StationJournal:
        """The journal of this station."""
        return StationJournal(self.path, self.clock)

    def event(self, run: str, body: Body, step: str | None = None) -> Event:
        """The next event of a run; a tenth of a second later than the one before."""
        self.clock.pass_time(0.1)
        stamp = self.clock.now()
        events = self.kept.setdefault(run, [])
        event = Event(self.ids.new(to_ms(stamp.at)), run, len(events) + 1, stamp, step, body)
        events.append(event)
        return event

    def keep(self, journal: Journal, run: str, *bodies: tuple[str | None, Body]) -> list[Event]:
        """Make events of `bodies` (step and body) and append them in one go."""
        events = [self.event(run, body, step) for step, body in bodies]
        journal.append(events)
        return events


def kept_events(journal: StationJournal, run: str) -> list[Event]:
    """The events of a run that were not erased, in order, whatever was done to the others."""
    with journal.reading() as connection:
        rows = connection.execute(
            "SELECT seq, body FROM events WHERE run = ? AND body IS NOT NULL ORDER BY seq", (run,)
        ).fetchall()
    return [unpacked(body, run, seq) for seq, body in rows]


def opened(trainee: str = "T-01", *, content_hash: str | None = None, rehearsal: bool = False) -> e.RunOpened:
    """The opening of a run of the invented procedure."""
    settings = {"exposure": 24.0}
    used = real_hash() if content_hash is None else content_hash
    return e.RunOpened(
        trainee, "invented", 3, used, "cued", rehearsal, settings, job="Tide card", colour="blue"
    )


def real_hash() -> str:
    """The content hash of the invented procedure's bytes."""
    return hashlib.sha256(SOURCE).hexdigest()


def shown(
    task: str = "none", *, plate: int = 1, visit: int = 1, skill: str | None = "contact"
) -> e.StepShown:
    """A step of the vacuum stage on the screen."""
    return e.StepShown("vacuum", skill, task, plate, visit)


SHORT_RUN: tuple[tuple[str | None, Body], ...] = (
    ("mind-the-glass", shown("hazard", skill=None)),
    ("mind-the-glass", e.HazardAccepted("warning", ("draw-down",), 2.5)),
    ("draw-down", shown()),
    ("draw-down", e.Confirmed()),
    ("read-gauge", shown("reading")),
    ("read-gauge", e.ReadingTaken("vacuum", 17.0, "inHg", "17", "inHg", "miss")),
    ("read-gauge", e.ReadingTaken("vacuum", 21.5, "inHg", "21,5", "inHg", "ok")),
    ("burn", shown("wait")),
    ("burn", e.WaitBegun("dose", units=24.0)),
    ("burn", e.WaitEnded("on_time", 36.0, units=24.0)),
    ("ask", shown("quiz")),
    ("ask", e.QuizAnswered("why", "choices", ("a", "c"), right=False)),
    ("ask", e.HintOpened()),
    ("look", shown("judge")),
    ("look", e.Judged("tint", "clean")),
    ("sign", shown("sign_off")),
    ("sign", e.SignedOff("The plate", "I-1", "passed", "Good contact")),
)
"""After the opening: every kind of projection is touched."""

CLOSED: tuple[str | None, Body] = ("sign", e.RunClosed("done"))


def short_run(station: Station, journal: StationJournal, run: str, trainee: str = "T-01") -> None:
    """A whole short run, appended act by act as a screen does, closed at the end."""
    journal.keep_procedure(real_hash(), SOURCE, "invented", 3)
    station.keep(journal, run, (None, opened(trainee)), SHORT_RUN[0])
    for step in (*SHORT_RUN[1:], CLOSED):
        station.keep(journal, run, step)


def station_with_a_run(folder: Path) -> Station:
    """A station whose record has one short run, `r1`."""
    station = Station(folder)
    with station.open() as journal:
        short_run(station, journal, "r1")
    return station


# Any history

_WORDS = st.text(max_size=12).map(clean)  # as every text is where it enters the program
_CODES = st.sampled_from(["T-01", "T-02", "T-03", "I-1"])
_FLOATS = st.floats(allow_nan=False, allow_infinity=False)
_PEOPLE = {"trainee", "from_", "to", "by"}


def bodies() -> st.SearchStrategy[Body]:
    """Any body but an opening, of every kind there is, its fields filled at will."""
    kinds = [kind for kind in wire.KINDS.values() if kind is not e.RunOpened]
    return st.one_of([_body(kind) for kind in kinds])


def openings() -> st.SearchStrategy[Body]:
    """Any opening of a run."""
    return _body(e.RunOpened)


def _body(kind: type[Body]) -> st.SearchStrategy[Body]:
    hints = get_type_hints(kind)
    return st.builds(
        kind,
        **{one.name: _CODES if one.name in _PEOPLE else _of(hints[one.name]) for one in fields(kind)},
    )


def _of(hint: object) -> st.SearchStrategy[object]:
    """Values of a body's field by its type."""
    origin = get_origin(hint)
    if origin is Literal:
        return st.sampled_from(get_args(hint))
    if origin in (Union, types.UnionType):
        return st.one_of([_of(part) for part in get_args(hint)])
    if origin is tuple:
        return st.lists(_of(get_args(hint)[0]), max_size=3).map(tuple)
    if origin is not None and isinstance(origin, type) and issubclass(origin, Mapping):
        return st.dictionaries(_WORDS, _of(get_args(hint)[1]), max_size=3)
    simple: dict[object, st.SearchStrategy[object]] = {
        str: _WORDS,
        bool: st.booleans(),
        int: st.integers(-(2**53) + 1, 2**53 - 1),
        float: _FLOATS,
        type(None): st.none(),
    }
    return simple[hint]


@st.composite
def histories(draw: st.DrawFn) -> list[tuple[str, Sequence[tuple[str | None, Body]]]]:
    """What a station goes through: batches of events of up to three runs, mixed, each run opened first."""
    runs = [f"run-{number}" for number in range(draw(st.integers(1, 3)))]
    begun: set[str] = set()
    batches: list[tuple[str, Sequence[tuple[str | None, Body]]]] = []
    steps = st.one_of(st.none(), st.sampled_from(["draw-down", "read-gauge", "burn"]))
    for _ in range(draw(st.integers(1, 10))):
        run = draw(st.sampled_from(runs))
        batch = draw(st.lists(st.tuples(steps, bodies()), min_size=0 if run not in begun else 1, max_size=4))
        if run not in begun:
            batch = [(None, draw(openings())), *batch]
            begun.add(run)
        batches.append((run, batch))
    return batches
