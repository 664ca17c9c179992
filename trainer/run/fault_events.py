"""What is kept of faults: those found after a rehearsal, and the plates of fault practice.

A part of `events`, whose rules hold here too.
"""

from __future__ import annotations

from typing import ClassVar

from trainer.run.events import Body
from trainer.run.frozen import frozen


@frozen
class FaultFound(Body):
    """After a rehearsal: a fault of a plate, proved by making the plate again with one act put right.

    fault, alike: its id and its class in the bench's catalogue, empty where the catalogue has none. `of`: the
    step whose act it was, `skill` that step's. words: what was done. signs: what is gone once it is right.
    """

    kind: ClassVar[str] = "fault_found"
    plate: int
    fault: str
    alike: str
    of: str
    skill: str | None
    words: str
    signs: tuple[str, ...]


@frozen
class PracticePlate(Body):
    """Fault practice: a plate with hidden faults, made again from `seed`. film: the image's."""

    kind: ClassVar[str] = "practice_plate"
    plate: int
    seed: int
    artwork: str
    film: str
    faults: tuple[str, ...]


@frozen
class PracticeMeasured(Body):
    """Fault practice: the trainee took one measure of the plate."""

    kind: ClassVar[str] = "practice_measured"
    plate: int
    measure: str
