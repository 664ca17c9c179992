"""A procedure made ready to run: its steps by id, the ways between them, its expressions compiled.

A `Plan` exists only for a file without problems, so the run may trust every id in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.procedure.expressions import Expression
from trainer.procedure.model import Procedure, Stage, Step

DONE = "done"
STOP = "stop"
ENDS = (DONE, STOP)
"""Targets that are no steps."""


@dataclass(frozen=True, slots=True)
class Way:
    """A guarded way on: taken when `when` is true."""

    when: Expression
    to: str


@dataclass(frozen=True, slots=True)
class Plan:
    """A procedure ready to run.

    steps: in file order, by id. stage_of: the stage of each step. next_of: where a finished step leads when
    no `go` holds (`then`, or the next step that is no aside, or `done`). ways: the `go` of each step.
    expressions: by (step id, key), key being `ok`, `from`, `right`, or `bench.CONTROL`.
    covered_by: the hazard steps that must be accepted before a step is shown. content_hash: SHA-256 of
    `source`, hexadecimal.
    """

    procedure: Procedure
    source: bytes
    content_hash: str
    steps: Mapping[str, Step]
    stage_of: Mapping[str, Stage]
    next_of: Mapping[str, str]
    ways: Mapping[str, tuple[Way, ...]]
    expressions: Mapping[tuple[str, str], Expression]
    covered_by: Mapping[str, tuple[str, ...]]

    @property
    def first(self) -> str:
        """Id of the first step."""
        return next(iter(self.steps))

    def expression(self, step_id: str, key: str) -> Expression | None:
        """The compiled expression under `key` of a step, if it has one."""
        return self.expressions.get((step_id, key))

    def new_plate_from(self, step_id: str) -> str | None:
        """Where a plate spoiled at this step sends the run; None where none can be spoiled."""
        return self.stage_of[step_id].new_plate_from
