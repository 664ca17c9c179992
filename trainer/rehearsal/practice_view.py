"""What fault practice shows, as plain frozen data: every front end draws only this."""

from __future__ import annotations

from typing import Literal

from trainer.run.frozen import frozen

Asks = Literal["cause", "remedy", "next", "closed"]
"""What is asked for now: what is wrong, what to do about it, `next` for another plate."""


@frozen
class PracticeOption:
    """One of the words to choose from; picked by its place, from 1."""

    key: str
    label: str


@frozen
class Measured:
    """A measure that was taken. shown: its value in words; wanted: what it is held against."""

    name: str
    label: str
    shown: str
    wanted: str


@frozen
class PracticeView:
    """Fault practice at a moment.

    job: what should be on the plate, in words; film: what its film is called there. width, height: of the
    plate, mm. told: what came of the last answer, the most important first. measures: those that can still
    be taken. right, asked: so far in this practice. acts: `pick`, `measure`, `next`, `close`, as far as they
    do something now.
    """

    plate: int
    job: str
    film: str
    width: float
    height: float
    asks: Asks
    ask: str
    options: tuple[PracticeOption, ...]
    measures: tuple[PracticeOption, ...]
    measured: tuple[Measured, ...]
    told: tuple[str, ...]
    right: int
    asked: int
    acts: tuple[str, ...]
