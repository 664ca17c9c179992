"""A program on a pseudo-terminal, of 80x24 if nothing else is said, and how long its words take to come."""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import termios
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field


class NeverCame(Exception):  # noqa: N818 - it reads as what happened
    """The words did not come in time; `args[0]` ends with what came instead."""


@dataclass
class Terminal:
    """One program and its terminal. Times are seconds from `mark`, or from the start."""

    process: subprocess.Popen[bytes]
    master: int
    marked_at: float
    seen: bytearray = field(default_factory=bytearray)

    def mark(self) -> None:
        """Count from now, and forget what came before."""
        self.seen.clear()
        self.marked_at = time.perf_counter()

    def send(self, keys: bytes) -> None:
        """Press keys; time counts from here."""
        self.mark()
        os.write(self.master, keys)

    def until(self, words: bytes, within: float = 20.0) -> float:
        """Read until `words` came; the seconds that took. Raises NeverCame."""
        deadline = time.perf_counter() + within
        while words not in self.seen:
            if not self._read(deadline - time.perf_counter()):
                raise NeverCame(
                    f"{words!r} did not come within {within} s; last: {bytes(self.seen[-300:])!r}"
                )
        return time.perf_counter() - self.marked_at

    def last_byte(self, quiet: float, at_most: float = 5.0) -> float:
        """Read until nothing came for `quiet` seconds; when the last of it came. Raises NeverCame."""
        came: float | None = None
        deadline = time.perf_counter() + at_most
        while time.perf_counter() < deadline and self._read(quiet if came is not None else at_most):
            came = time.perf_counter() - self.marked_at
        if came is None:
            raise NeverCame(f"nothing came within {at_most} s")
        return came

    def quiet_for(self, seconds: float, at_most: float = 5.0) -> None:
        """Read until nothing came for `seconds`."""
        deadline = time.perf_counter() + at_most
        while time.perf_counter() < deadline and self._read(seconds):
            pass

    def read_for(self, seconds: float) -> None:
        """Read for as long as this, whatever comes."""
        deadline = time.perf_counter() + seconds
        while (left := deadline - time.perf_counter()) > 0:
            self._read(left)

    def _read(self, within: float) -> bool:
        ready, _, _ = select.select([self.master], [], [], max(within, 0))
        if not ready:
            return False
        try:
            self.seen += os.read(self.master, 65536)
        except OSError:  # the other side is gone
            return False
        return True


@contextlib.contextmanager
def terminal(
    argv: Sequence[str], environment: Mapping[str, str], rows: int = 24, cols: int = 80
) -> Iterator[Terminal]:
    """Start `argv` on a terminal of its own; killed at the end."""
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, cols, 0, 0))
    started_at = time.perf_counter()
    process = subprocess.Popen(
        argv, stdin=slave, stdout=slave, stderr=slave, env=dict(environment), start_new_session=True
    )
    os.close(slave)
    try:
        yield Terminal(process, master, started_at)
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        os.close(master)
