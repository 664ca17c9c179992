"""The work on the findings, away from the screen: heavy, and whatever goes wrong becomes a sentence."""

from __future__ import annotations

from datetime import datetime
from threading import Event
from typing import TYPE_CHECKING

from trainer.insight.dropped import Dropped
from trainer.insight.results import Wanted
from trainer.run.ports import Trouble
from trainer.screens.leaving import keep_fault
from trainer.screens.review.desk import Found

if TYPE_CHECKING:
    from trainer.insight.read import ClassRecord
    from trainer.record.part import Place

FAULT = "What stands out could not be worked out; all else is shown."


def find(  # noqa: PLR0913 - handed over as they stand, to a thread
    path: Place, now: datetime, wanted: Wanted, asked: int, record: ClassRecord | None, *, dropped: Event
) -> Found:
    """Read the record, unless it is read already, and work out what stands out in what is wanted.

    dropped: set by whoever waits for it no more; the work, which only reads, then ends at its next piece.
    """
    from polars.exceptions import PolarsError  # 200 ms, beside the first page

    from trainer.insight.facts import newest
    from trainer.insight.read import needed, read
    from trainer.insight.review import review

    def look_up() -> None:
        if dropped.is_set():
            raise Dropped

    try:
        look_up()
        only = needed(wanted)
        if record is None or not record.holds(only):
            record = None
            record = read(path, look_up, only)
        look_up()
        found = review(
            record.frames,
            record.facts,
            wanted,
            now,
            invented=record.invented,
            troubles=record.troubles,
            look_up=look_up,
        )
    except Dropped:
        return Found(asked, record)
    except Trouble as told:
        return Found(asked, trouble=str(told))
    except (PolarsError, ArithmeticError, LookupError, TypeError, ValueError) as fault:
        return Found(asked, trouble=f"{FAULT} {keep_fault(fault)}")
    return Found(asked, record, found, newest(record.facts))
