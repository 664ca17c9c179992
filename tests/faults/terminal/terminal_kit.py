"""A terminal looked at from outside: every byte that came, its modes before and after, another size."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pexpect
import pyte
from sink import COLUMNS, ROWS, Sink
from trainee import INSTRUCTOR, PIN, Trainee

from trainer.procedure.load import load
from trainer.record.journal import StationJournal
from trainer.record.people import People
from trainer.run import clock
from trainer.run.events import Resumed, Stamp

HERE = Path(__file__).resolve().parent
PLATE = HERE.parents[1] / "run" / "plate.yaml"
"""A procedure with every task, for tests only."""

BEGINNING_MS = 1_900_000_000_000
"""As in changed_build.py."""

OPEN = "The run of T-01 stays open. Go on with it: sinkside run"
"""What is said where the screens are left in a run."""

PLAIN = ("--plain",)
"""The same work in lines of text."""

QUIET = 0.2
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
    """A sink whose bytes and modes are kept. change: an entry of changed_build.CHANGES.

    redirected: what a shell would make of its streams, such as `2>/dev/null`.
    """

    change: str = "none"
    redirected: str = ""

    def start(self) -> None:
        """Start the program (again) on a new terminal, and hold that open beyond the program's end."""
        self.raw = b""
        self.screen = pyte.Screen(COLUMNS, ROWS)
        self.stream = pyte.ByteStream(self.screen)
        program = [str(HERE / "changed_build.py"), str(self.offset_file), self.change, *self.arguments]
        self.child = pexpect.spawn(
            "/bin/sh",
            ["-c", f'exec "$0" "$@" {self.redirected}', sys.executable, *program],
            env=dict(self.environment()),
            dimensions=(ROWS, COLUMNS),
            timeout=20,
        )
        self.held = os.open("/dev/" + self.by_ps("tty"), os.O_RDWR | os.O_NOCTTY)
        self.modes_before = termios.tcgetattr(self.held)

    def by_ps(self, what: str) -> str:
        """What `ps` tells of the program (`tty` is POSIX; `stat` is BSD's and Linux's)."""
        asked = ["ps", "-o", f"{what}=", "-p", str(self.child.pid)]
        return subprocess.run(asked, capture_output=True, text=True, check=True).stdout.strip()

    def read(self, within: float = 0.05) -> bool:
        """Take in what the program writes, and keep the bytes."""
        try:
            got = self.child.read_nonblocking(65536, timeout=within)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return False
        self.raw += got
        self.stream.feed(got)
        return True

    def settle(self) -> str:
        """Read until nothing more has come for a moment; gives the screen."""
        deadline = time.monotonic() + 20
        while self.read(QUIET):
            assert time.monotonic() < deadline, f"The screen never rests:\n{self.text()}"
        return self.text()

    def resize(self, columns: int, rows: int) -> None:
        """Another size, told to the program as a terminal does; back once it has begun to draw."""
        self.screen.resize(rows, columns)
        self.child.setwinsize(rows, columns)
        self.read(0.5)

    def close_terminal(self) -> None:
        """The terminal goes away, as when its window is closed."""
        os.close(self.held)
        self.held = -1
        process = self.child.ptyproc  # type: ignore[attr-defined] # its types leave it out
        process.fileobj.close()
        self.child.closed = process.closed = True

    def ended(self, within: float = 20.0) -> int | None:
        """Read to the end; the exit status, or minus the signal that ended it; None: still alive."""
        deadline = time.monotonic() + within
        while self.child.isalive() and time.monotonic() < deadline:
            if self.held >= 0:
                self.read()
            else:
                os.sched_yield()
        if self.child.isalive():
            return None
        if self.held >= 0:
            self.settle()
        signalled = self.child.signalstatus
        return self.child.exitstatus if signalled is None else -signalled

    def finish(self) -> None:
        """End what is still there."""
        if self.child.isalive():
            self.child.kill(signal.SIGKILL)
            self.child.wait()
        if not self.child.closed:
            self.child.close()
        if self.held >= 0:
            os.close(self.held)
            self.held = -1

    def unrestored(self) -> list[str]:
        """What of the terminal is not as it was before the program: empty when all of it is."""
        modes = private_modes(self.raw)
        left = [name for mode, name in MODES.items() if modes.get(mode)]
        if not modes.get(SHOWN, True):
            left.append("the cursor")
        if not modes.get(WRAPS, True):
            left.append("the wrapping of lines")
        if keyboard_levels(self.raw):
            left.append("the keyboard protocol")
        if termios.tcgetattr(self.held) != self.modes_before:
            left.append("the modes of the line")
        return left

    def last_words(self) -> list[str]:
        """The lines that were written after the alternate screen was left (all, where it was never there)."""
        after = self.raw.rpartition(b"\x1b[?1049l")[2].decode()
        return re.sub(r"\x1b\[[<>?=]?[\d;]*[a-z]", "", after).replace("\r", "").splitlines()


def ends_well(
    sink: Watched, code: int, said: list[str], within: float = 20.0, *, lines: bool = False
) -> None:
    """The program ends with that code and these words, and the terminal is as it was before it.

    lines: it talked in lines of text all the time; the words are its last.
    """
    ended = sink.ended(within)
    assert ended == code, f"It did not end with {code} but with {ended}."
    assert not sink.unrestored(), f"Not given back: {sink.unrestored()}"
    words = sink.last_words()[-1:] if lines else sink.last_words()
    assert words == said, f"It said {words}, not {said}."
    sink.finish()


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

    sink: Watched

    def __post_init__(self) -> None:
        super().__post_init__()
        self.sink.until(lambda _: len(self.events()) > 1, "the first step")

    def now(self) -> Stamp:
        """The present moment by the program's clock."""
        ms = round(self.sink.offset * 1000)
        return Stamp(clock.from_ms(BEGINNING_MS + ms), "the only boot", 1_000_000 + ms)

    def work_to(self, asked: str) -> None:
        """Work until the run asks for that (in the words of `run.situation`), and the screen shows it."""
        self.work_until(lambda _: self.asks() == asked)
        self.see_step()

    def starts_again(self) -> None:
        """Start `sinkside run` again: the run goes on at the same act, and nothing but that is added."""
        before, at = self.events(), self.asks()
        self.sink.arguments = [*self.sink.arguments[:3], *PLAIN] if self.after else self.sink.arguments[:3]
        self.sink.start()
        self.sink.until(lambda _: len(self.events()) > len(before), "the run taken up again")
        after = self.events()
        assert after[: len(before)] == before
        assert [event.body for event in after[len(before) :]] == [Resumed("restart")]
        assert self.asks() == at
        self.see_step()


@contextmanager
def at_work(folder: Path, change: str = "none", *more: str) -> Iterator[Sitting]:
    """A trainee whose run of the plate of the tests has begun, at a record that knows an instructor."""
    record = folder / "record.db"
    with People.at(record, clock.SystemClock()) as people:
        people.add(INSTRUCTOR, instructor=True, pin=PIN)
    sink = Watched(folder, arguments(record, *more), change=change)
    try:
        with StationJournal(record, clock.SystemClock()) as journal:
            plan = load(PLATE).require()
            if PLAIN[0] in more:
                yield Sitting(sink, plan, journal, primary="", after="\r", typing="number")
            else:
                yield Sitting(sink, plan, journal)
    finally:
        sink.finish()


def arguments(record: Path, *more: str) -> list[str]:
    """What a run of the plate of the tests is begun with."""
    return ["--record", str(record), "run", str(PLATE), "--trainee=T-01", "--guidance=full", *more]
