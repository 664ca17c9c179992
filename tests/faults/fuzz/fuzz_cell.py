"""The other side of `fuzz_child`: sends inputs to a target in a cell, and says what became of each."""

from __future__ import annotations

import json
import os
import select
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Literal, Self

HERE = Path(__file__).parent
TESTS = HERE.parent.parent
HELPERS = (HERE, TESTS / "run", TESTS / "record")

Kind = Literal["fine", "wrong", "crash", "memory", "slow", "hang", "died"]


@dataclass(frozen=True)
class Verdict:
    """What became of one input. wrong: an oracle says so; crash: an error that no caller expects."""

    kind: Kind
    words: str
    seconds: float


class Cell:
    """A target in a process with bounded memory, watched from outside. Use it as a context manager.

    seconds: of work that an input may cost. watchdog: seconds by the clock after which it is killed.
    """

    def __init__(
        self, target: str, *, megabytes: int = 600, seconds: float = 4.0, watchdog: float = 40.0
    ) -> None:
        self.target = target
        self.megabytes = megabytes
        self.seconds = seconds
        self.watchdog = watchdog
        self._child: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._end()

    def attempt(self, data: bytes) -> Verdict:
        """Send one input, and wait for what becomes of it."""
        child = self._child or self._start()
        assert child.stdin is not None
        assert child.stdout is not None
        try:
            child.stdin.write(len(data).to_bytes(4, "big") + data)
            child.stdin.flush()
        except BrokenPipeError:
            return self._dead(child)
        ready, _, _ = select.select([child.stdout], [], [], self.watchdog)
        if not ready:
            child.kill()
            self._end()
            return Verdict("hang", f"no answer within {self.watchdog} s", self.watchdog)
        line = child.stdout.readline()
        if not line:
            return self._dead(child)
        told = json.loads(line)
        if told["kind"] == "fine" and told["seconds"] > self.seconds:
            return Verdict("slow", f"{told['seconds']:.1f} s of work", told["seconds"])
        return Verdict(told["kind"], told["words"], told["seconds"])

    def must_survive(self, data: bytes) -> None:
        """Send one input. Raises AssertionError with the input where anything but `fine` becomes of it."""
        verdict = self.attempt(data)
        assert verdict.kind == "fine", (
            f"{self.target} {verdict.kind}: {verdict.words}\ninput: {data[:2000]!r}"
        )

    def _start(self) -> subprocess.Popen[bytes]:
        path = os.pathsep.join(str(folder) for folder in (*HELPERS, TESTS.parent))
        self._child = subprocess.Popen(
            [sys.executable, str(HERE / "fuzz_child.py"), self.target, str(self.megabytes)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": path},
        )
        assert self._child.stdout is not None
        assert self._child.stdout.readline() == b"ready\n", f"there is no target {self.target}"
        return self._child

    def _dead(self, child: subprocess.Popen[bytes]) -> Verdict:
        code = child.wait(self.watchdog)
        self._end()
        return Verdict("died", f"the process ended with {code}", 0.0)

    def _end(self) -> None:
        if self._child is None:
            return
        for stream in (self._child.stdin, self._child.stdout):
            if stream is not None:
                try:
                    stream.close()
                except BrokenPipeError:
                    continue
        self._child.wait(self.watchdog)
        self._child = None
