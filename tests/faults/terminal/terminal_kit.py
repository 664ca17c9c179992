"""A terminal looked at from outside: every byte that came, its modes before and after, another size."""

from __future__ import annotations

import fcntl
import os
import re
import struct
import sys
import termios
import time
from dataclasses import dataclass, field
from pathlib import Path

import pexpect
import pyte
from sink import COLUMNS, ROWS, Sink
from trainee import Trainee

from trainer.procedure.load import load
from trainer.record.journal import StationJournal
from trainer.run import clock
from trainer.run.events import Event, Resumed, Stamp

HERE = Path(__file__).resolve().parent
PLATE = HERE.parents[1] / "run" / "plate.yaml"
"""A procedure with every task, for tests only."""

BEGINNING_MS = 1_900_000_000_000
"""As in changed_build.py."""

TIOCGPTN, TIOCPTYGNAME = 0x80045430, 0x40807453
"""What names a pseudo-terminal from its master's side on Linux (asm-generic/ioctls.h) and macOS
(sys/ttycom.h); the standard library names neither. From memory; a wrong one fails every test here."""

QUIET = 0.12
"""Seconds without a byte after which a screen counts as drawn."""

MODES = {
    1049: "the alternate screen",
    1000: "the mouse",
    1003: "every movement of the mouse",
    1015: "the mouse's older numbers",
    1006: "the mouse's newer numbers",
    1004: "the focus",
    2004: "bracketed paste",
    2048: "sizes told in band",
}
"""Private modes of a terminal that must be off when a program has ended (xterm's control sequences)."""

SHOWN, WRAPS = 25, 7
"""Private modes that must be on: the cursor is shown, long lines wrap."""


@dataclass
class Watched(Sink):
    """A sink whose bytes and modes are kept. change: an entry of changed_build.CHANGES."""

    change: str = "none"
    extra: dict[str, str] = field(default_factory=dict)

    def environment(self) -> dict[str, str]:
        """The sink's, and what a test adds."""
        return {**super().environment(), **self.extra}

    def start(self) -> None:
        """Start the program (again) on a new terminal, and hold that open beyond the program's end."""
        self.raw = b""
        self.screen = pyte.Screen(COLUMNS, ROWS)
        self.stream = pyte.ByteStream(self.screen)
        self.child = pexpect.spawn(
            sys.executable,
            [str(HERE / "changed_build.py"), str(self.offset_file), self.change, *self.arguments],
            env=self.environment(),
            dimensions=(ROWS, COLUMNS),
            timeout=20,
            echo=True,
        )
        self.held = os.open(self.terminal, os.O_RDWR | os.O_NOCTTY)
        self.modes_before = termios.tcgetattr(self.held)

    @property
    def terminal(self) -> str:
        """The path of the terminal that the program sits at."""
        if sys.platform == "darwin":
            return fcntl.ioctl(self.child.child_fd, TIOCPTYGNAME, b"\0" * 128).rstrip(b"\0").decode()
        number: int = struct.unpack("I", fcntl.ioctl(self.child.child_fd, TIOCGPTN, b"\0" * 4))[0]
        return f"/dev/pts/{number}"

    def read(self, within: float = 0.05) -> bool:
        """Take in what the program writes, and keep the bytes."""
        try:
            got = self.child.read_nonblocking(65536, timeout=within)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return False
        self.raw += got
        self.stream.feed(got)
        return True

    def settle(self, within: float = 10.0) -> str:
        """Read until nothing has come for a moment; gives the screen."""
        deadline = time.monotonic() + within
        while self.read(QUIET):
            assert time.monotonic() < deadline, f"The screen never rests:\n{self.text()}"
        return self.text()

    def resize(self, columns: int, rows: int) -> str:
        """Another size, told to the program as a terminal does; gives the screen once it is drawn."""
        self.screen.resize(rows, columns)
        self.child.setwinsize(rows, columns)
        return self.settle()

    def close_terminal(self) -> None:
        """The terminal goes away, as when its window is closed."""
        os.close(self.held)
        self.held = -1
        os.close(self.child.child_fd)

    def ended(self, within: float = 20.0) -> int | None:
        """Read to the end; the exit status, or minus the signal that ended it; None: still alive."""
        deadline = time.monotonic() + within
        while self.child.isalive() and time.monotonic() < deadline:
            if not self.read():
                self.child.isalive()
        if self.child.isalive():
            return None
        while self.read():
            pass
        self.modes_after = termios.tcgetattr(self.held) if self.held >= 0 else None
        signalled = self.child.signalstatus
        return self.child.exitstatus if signalled is None else -signalled

    def gone(self) -> int | None:
        """The same where there is no terminal left to read from."""
        deadline = time.monotonic() + 20
        while self.child.isalive() and time.monotonic() < deadline:
            time.monotonic()
        signalled = self.child.signalstatus
        return self.child.exitstatus if signalled is None else -signalled

    def finish(self) -> None:
        """End what is still there."""
        self.child.close(force=True)
        if self.held >= 0:
            os.close(self.held)

    def unrestored(self) -> list[str]:
        """What of the terminal is not as it was before the program: empty when all of it is."""
        left = [name for mode, name in MODES.items() if private_modes(self.raw).get(mode)]
        if not private_modes(self.raw).get(SHOWN, True):
            left.append("the cursor is hidden")
        if not private_modes(self.raw).get(WRAPS, True):
            left.append("lines do not wrap")
        if keyboard_levels(self.raw):
            left.append("the keyboard protocol")
        if self.modes_after != self.modes_before:
            left.append("the modes of the line (termios)")
        return left

    def after_screens(self) -> str:
        """What was written after the alternate screen was left, as text."""
        return re.sub(r"\x1b\[[<>?=]?[\d;]*[a-z]", "", self.raw.rpartition(b"\x1b[?1049l")[2].decode())


def private_modes(raw: bytes) -> dict[int, bool]:
    """Each private mode that was set or reset, as it was left (`CSI ? n h` and `CSI ? n l`)."""
    left: dict[int, bool] = {}
    for numbers, switch in re.findall(rb"\x1b\[\?([\d;]+)([hl])", raw):
        left |= {int(number): switch == b"h" for number in numbers.split(b";")}
    return left


def keyboard_levels(raw: bytes) -> int:
    """How many levels of the keyboard protocol were pushed and not popped (`CSI > n u` and `CSI < u`)."""
    return len(re.findall(rb"\x1b\[>\d+u", raw)) - len(re.findall(rb"\x1b\[<\d*u", raw))


@dataclass
class Sitting(Trainee):
    """A trainee at a watched terminal, by the clock that stands still."""

    def now(self) -> Stamp:
        """The present moment by the program's clock."""
        ms = round(self.sink.offset * 1000)
        return Stamp(clock.from_ms(BEGINNING_MS + ms), "the only boot", 1_000_000 + ms)

    def starts_again(self) -> tuple[Event, ...]:
        """Start `sinkside run` again and wait until the run is taken up; gives the events added by that."""
        before = self.events()
        self.sink.arguments = [*self.sink.arguments[:2], "run"]
        self.sink.start()
        self.sink.until(lambda _: len(self.events()) > len(before), "the run taken up again")
        added = self.events()[len(before) :]
        assert [event.body for event in added] == [Resumed("restart")]
        self.see_step()
        return added


def sitting(sink: Watched, journal: StationJournal) -> Sitting:
    """A trainee at `sink` whose run has begun."""
    trainee = Sitting(sink, load(PLATE).require(), journal)
    sink.until(lambda _: len(trainee.events()) > 1, "the first step")
    return trainee


def arguments(record: Path, guidance: str = "full") -> list[str]:
    """What a run of the plate of the tests is begun with."""
    return ["--record", str(record), "run", str(PLATE), "--trainee", "T-01", "--guidance", guidance]
