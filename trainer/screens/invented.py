"""What a station says where its record holds an invented class: no work is kept among it."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.record.about import INVENTED
from trainer.run.ports import Trouble
from trainer.tongue import spoken


def notice(about: Mapping[str, str]) -> str:
    """That the record holds an invented class, in a sentence; empty where it does not."""
    seed = about.get(INVENTED)
    return "" if seed is None else spoken("This record holds an invented class (seed {seed}).", seed=seed)


def refuse(about: Mapping[str, str]) -> None:
    """Raise Trouble where the record holds an invented class."""
    if told := notice(about):
        another = spoken("Name another record with --record, or leave SINKSIDE_RECORD out.")
        raise Trouble(f"{told} {another}")
