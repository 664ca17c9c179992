"""The work on the findings, away from the screen: heavy, and whatever goes wrong becomes a sentence."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.insight.results import Wanted
from trainer.run.ports import Trouble
from trainer.screens.leaving import keep_fault
from trainer.screens.review.desk import Found

if TYPE_CHECKING:
    from trainer.insight.read import ClassRecord

FAULT = "What stands out could not be worked out; all else is shown."


def find(path: Path, now: datetime, wanted: Wanted, asked: int, record: ClassRecord | None) -> Found:
    """Read the record, unless it is read already, and work out what stands out in what is wanted."""
    from polars.exceptions import PolarsError  # 200 ms, beside the first page

    from trainer.insight.facts import newest
    from trainer.insight.read import read
    from trainer.insight.review import review

    try:
        record = record or read(path)
        found = review(
            record.frames, record.facts, wanted, now, invented=record.invented, troubles=record.troubles
        )
    except Trouble as told:
        return Found(asked, trouble=str(told))
    except (PolarsError, ArithmeticError, LookupError, TypeError, ValueError) as fault:
        return Found(asked, trouble=f"{FAULT} {keep_fault(fault)}")
    return Found(asked, record, found, newest(record.facts))
