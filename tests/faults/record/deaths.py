"""Orders to `dying_writer`, and what came of them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
HELPERS = (HERE, HERE.parents[1] / "record")


@dataclass(frozen=True)
class Death:
    """What a child said before it died or ended; failed: it ended with an error."""

    lines: list[str]
    died: bool
    failed: bool


class Writer:
    """The program with its children."""

    def __init__(self, program: subprocess.Popen[str]) -> None:
        self._program = program

    def order(
        self,
        record: Path,
        *,
        acts: int,
        at: int = 0,
        after: float = 0.0,
        at_work: bool = False,
        sabotage: str = "",
    ) -> Death:
        """Let a child write, and die at the point `at` or `after` so many seconds (0: not at all)."""
        order = {"record": str(record), "acts": acts, "at": at, "after": after, "at_work": at_work}
        order["sabotage"] = sabotage
        assert self._program.stdin is not None
        assert self._program.stdout is not None
        self._program.stdin.write(json.dumps(order) + "\n")
        self._program.stdin.flush()
        told = json.loads(self._program.stdout.readline())
        return Death(told["lines"], told["died"], told["failed"])


@contextmanager
def writer() -> Iterator[Writer]:
    """A program that is started once and forks for each order."""
    path = os.pathsep.join([*(str(folder) for folder in HELPERS), *sys.path])
    with subprocess.Popen(
        [sys.executable, str(HERE / "dying_writer.py")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": path},
    ) as program:
        yield Writer(program)
        assert program.stdin is not None
        program.stdin.close()
