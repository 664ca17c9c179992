"""A person's side of a real terminal: what is on the screen, keys to press, a clock to set forward."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pexpect
import pyte

HERE = Path(__file__).resolve().parent
COLUMNS, ROWS = 80, 24


class NotShown(AssertionError):  # noqa: N818 - it reads as what happened
    """What was waited for did not show; the screen is in the message."""


@dataclass
class Sink:
    """One program on a terminal of 80x24, its screen as a person sees it, and its clock."""

    folder: Path
    arguments: list[str]
    rows: int = ROWS
    columns: int = COLUMNS
    offset: float = 0.0
    child: pexpect.spawn[bytes] = field(init=False)
    screen: pyte.Screen = field(init=False)

    def __post_init__(self) -> None:
        self.offset_file = self.folder / "offset"
        self.pass_time(0.0)
        self.screen = pyte.Screen(self.columns, self.rows)
        self.stream = pyte.ByteStream(self.screen)
        self.start()

    def environment(self) -> Mapping[str, str]:
        """The tests' own, with a terminal that has colours."""
        return os.environ | {"TERM": "xterm-256color", "TEXTUAL_ANIMATIONS": "none"}

    def start(self) -> None:
        """Start the program (again)."""
        self.screen.reset()
        self.child = pexpect.spawn(
            sys.executable,
            [str(HERE / "stepped_clock.py"), str(self.offset_file), *self.arguments],
            env=dict(self.environment()),
            dimensions=(self.rows, self.columns),
            timeout=20,
        )

    def pass_time(self, seconds: float) -> None:
        """Set the program's clock forward."""
        self.offset += seconds
        written = self.offset_file.with_suffix(".new")
        written.write_text(repr(self.offset), encoding="ascii")
        written.replace(self.offset_file)

    def press(self, keys: str) -> None:
        """Press keys, a second of the program's time after what came before."""
        self.pass_time(1.0)
        self.child.send(keys)

    def read(self, within: float = 0.05) -> bool:
        """Take in what the program writes; False when it has ended or nothing came."""
        try:
            self.stream.feed(self.child.read_nonblocking(65536, timeout=within))
        except pexpect.TIMEOUT:
            return False
        except pexpect.EOF:
            return False
        return True

    def text(self) -> str:
        """The screen, as lines."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def until(self, holds: Callable[[str], bool], what: str, within: float = 20.0) -> str:
        """Read until the screen holds what is waited for; gives the screen. Raises NotShown."""
        deadline = time.monotonic() + within
        while not holds(self.text()):
            if time.monotonic() > deadline:
                raise NotShown(f"{what} did not show. The screen:\n{self.text()}")
            self.read()
        return self.text()

    def ended(self, within: float = 20.0) -> int | None:
        """Read to the program's end; its exit status, or minus the signal that ended it."""
        deadline = time.monotonic() + within
        while self.child.isalive() and time.monotonic() < deadline:
            self.read()
        self.child.close(force=True)
        signalled = self.child.signalstatus
        return self.child.exitstatus if signalled is None else -signalled
