"""A rehearsal's screens with a hostile text in every place that has one; the plate is drawn by hand."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, cast
from unittest.mock import patch

from bench_stand_ins import BENCH, COUNT, GLASS, RUBBING, UNITS, VACUUM, HandRehearsal, HandSight
from stand_ins import CONFIRM, ViewStation
from test_practising import NEXT, HandPractice

from trainer.rehearsal.bench_view import BenchView, Choice
from trainer.rehearsal.practice_view import Measured, PracticeOption
from trainer.rehearsal.sight import Seen
from trainer.run.fakes import FakeSignOff
from trainer.screens import looking, rehearsing
from trainer.screens.after import After, page
from trainer.screens.looking import Looking
from trainer.screens.practising import Practising
from trainer.screens.rehearsing import Rehearsing


@contextmanager
def by_hand() -> Iterator[None]:
    """What the plate looks like is the bench's business."""
    with (
        patch.object(looking, "sight", HandSight()),
        patch.object(rehearsing, "Before", lambda rehearsal: rehearsal),
    ):
        yield


def benches(said: str) -> Iterator[BenchView]:
    """Benches whose every word is `said`, each with another control first."""
    positions = (Choice("open", said), Choice("closed", said))
    glass = replace(GLASS, label=said, doc=said, shown=said, options=positions)
    units = replace(UNITS, label=said, doc=said, shown=said, unit=said)
    rubbing = replace(RUBBING, label=said, doc=said, shown=said, going=True, done=said)
    gauges = (replace(VACUUM, label=said, shown=said), replace(COUNT, label=said[:9], shown=said[:9]))
    for first in (glass, units, rubbing):
        yield replace(
            BENCH, controls=(first, units), others=(glass, rubbing), gauges=gauges, signs=(said,), notice=said
        )


def rehearsal(said: str) -> tuple[Rehearsing, HandRehearsal]:
    """The screen of a rehearsal, and the rehearsal that it shows."""
    view = replace(CONFIRM, act=said, key_points=(said,), job=said)
    hand = HandRehearsal(next(benches(said)), view)
    station: Any = ViewStation(FakeSignOff({}))
    shown: Any = hand
    return Rehearsing(station, shown), hand


def after(said: str) -> After:
    """The page after a rehearsal."""
    seen = cast("Seen", HandRehearsal())
    sheet: Any = _Sheet()
    return After(page(sheet, 2, [(said, [said, said])]), Looking(seen))


def practice(said: str) -> Practising:
    """Fault practice whose every word is `said`."""
    options = (PracticeOption("one", said), PracticeOption(said, said))
    taken = Measured(said, said, said[:9], said)
    view = replace(
        NEXT, job=said, ask=said, told=(said, said), options=options, measures=options, measured=(taken,)
    )
    hand: Any = HandPractice(view)
    return Practising(hand)


class _Sheet:
    """A plate sheet without measures: their words are the program's own."""

    passes = False
    lines = ()
