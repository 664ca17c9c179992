"""The way into the review: looks whether there is a terminal, reads the record, and runs the app."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.record.part import part_of, refuse_unknown
from trainer.run.ports import Clock, Trouble
from trainer.screens.alone import has_terminal, run_to_its_end
from trainer.screens.leaving import tell
from trainer.screens.review.desk import Desk
from trainer.screens.review.reviewing import Reviewing
from trainer.screens.terminal_app import OneScreenApp

if TYPE_CHECKING:
    from trainer.insight.results import Wanted as Looked
    from trainer.record.part import Place

NO_TERMINAL = "There is no terminal here to draw on. `sinkside report` writes the same to a file."


def desk_at(path: Place, clock: Clock, wanted: Looked | None = None) -> Desk:
    """A desk on a record; one of an older Sinkside is brought up to date first. Raises Trouble."""
    from trainer.insight.glance import Older

    try:
        return Desk(path, clock, wanted)
    except Older:
        record = part_of(path).record
        if not isinstance(record, Path):
            raise  # the shared record is never brought up to date from here
        from trainer.record.journal import StationJournal

        with closing(StationJournal(record, clock, make=False)):
            return Desk(path, clock, wanted)


def run_review(path: Place, clock: Clock, wanted: Looked | None = None) -> int:
    """Review a record until the instructor leaves. wanted: what is looked at first.

    0: left; 1: an error, said; 2: no terminal, or no record that can be read; 128 and more: by a signal.
    """
    if not has_terminal():
        tell(NO_TERMINAL)
        return 2
    try:
        desk = desk_at(path, clock, wanted)
        refuse_unknown("procedure", desk.wanted.procedures, desk.glance.procedures, "the record")
        app = OneScreenApp(Reviewing(desk))
    except Trouble as told:
        tell(str(told))
        return 2
    return run_to_its_end(app)
