"""A real pseudo-terminal that keeps every byte the program writes, and what of it the program means."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pexpect
from hostile_texts import between, leaks, payloads_in, sequences
from sink import Sink

BUILD = Path(__file__).resolve().parent / "hostile_build.py"

_MODES = ("25", "7", "1000", "1003", "1004", "1006", "1015", "1049", "2004")
"""Cursor, wrapping, four of the mouse, focus, the other screen, bracketed paste."""
MEANT = frozenset(
    {
        *(f"\x1b[?{mode}{done}" for mode in _MODES for done in "hl"),
        *("\x1b[H", "\x1b[m"),
        *("\x1b[?2026$p", "\x1b[?2048$p"),  # asks whether the terminal can hold back and report its size
        *("\x1b[>25u", "\x1b[<u"),  # keys told apart
        "\x1b]22;default\x07",  # the pointer's shape
    }
)
"""The control sequences that the program (its library) writes; of those that move or paint only the kind."""


@dataclass
class Terminal(Sink):
    """A sink that keeps the bytes. variables: of the environment. leaks: modules that do not clean."""

    variables: Mapping[str, str] = field(default_factory=dict)
    leaking: tuple[str, ...] = ()
    written: bytearray = field(default_factory=bytearray)

    def environment(self) -> Mapping[str, str]:
        """The tests' own, then what is wanted here."""
        return {**super().environment(), "HOSTILE_LEAKS": ",".join(self.leaking), **self.variables}

    def start(self) -> None:
        """Start the build."""
        self.screen.reset()
        self.child = pexpect.spawn(
            sys.executable,
            [str(BUILD), str(self.offset_file), *self.arguments],
            env=dict(self.environment()),
            dimensions=(self.rows, self.columns),
            timeout=20,
        )

    def read(self, within: float = 0.05) -> bool:
        """Take in what the program writes, and keep it."""
        try:
            got = self.child.read_nonblocking(65536, timeout=within)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return False
        self.written += got
        self.stream.feed(got)
        return True

    def text_written(self) -> str:
        """Everything written so far. Raises UnicodeDecodeError where it is no UTF-8."""
        return self.written.decode("utf-8")


def got_out(written: str) -> list[str]:
    """What was written that the program did not mean: sequences, signs between them, hostile texts whole."""
    strange = [repr(one) for one in sorted(sequences(written) - MEANT)]
    signs = leaks(between(written).replace("\r", ""))
    return [*strange, *signs, *payloads_in(written)]
