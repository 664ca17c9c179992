"""How the program ends: a sentence on stderr, an unforeseen error in the log, signals in lines of text."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import traceback
from collections.abc import Iterator
from types import FrameType

from trainer import places
from trainer.procedure.text import clean, one_line
from trainer.tongue import marked, spoken

ENDING = tuple(
    getattr(signal, name) for name in ("SIGTERM", "SIGHUP", "SIGINT", "SIGQUIT") if hasattr(signal, name)
)
"""Signals that ask the program to end; it ends with 128 and their number, as shells count."""

FAULT = marked(
    "Something went wrong that was not foreseen. What was kept is safe: go on with it by sinkside run."
)


class Signalled(KeyboardInterrupt):
    """A signal asked the program to end. code: what it ends with."""

    def __init__(self, code: int) -> None:
        super().__init__(code)
        self.code = code


@contextlib.contextmanager
def signals_raised() -> Iterator[None]:
    """While this lasts, a signal that asks the program to end raises Signalled where the program is."""

    def ending(number: int, _: FrameType | None) -> None:
        raise Signalled(128 + number)

    before = {number: signal.signal(number, ending) for number in ENDING}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def hold_signals() -> None:
    """From now on, signals that ask the program to end wait until `let_signals_come`."""
    if hasattr(signal, "pthread_sigmask"):  # not on every system
        signal.pthread_sigmask(signal.SIG_BLOCK, ENDING)


def let_signals_come() -> None:
    """Signals come again, those that waited at once."""
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, ENDING)


def tell(sentence: str) -> None:
    """Say it on stderr, as text; nothing where nobody is there to read it any more."""
    if sys.stderr is None:  # it was closed before the program began
        return
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write(f"{clean(sentence)}\n")
        sys.stderr.flush()


def nobody_reads() -> None:
    """The other side of stdout has gone: what is still to be written goes nowhere, and raises nothing."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)


def say_fault(fault: BaseException) -> int:
    """Write an error that nobody foresaw to the log, and say where it is. Returns the exit code."""
    kept = keep_fault(fault)
    tell(f"{spoken(FAULT)}\n{kept}")
    return 1


def keep_fault(fault: BaseException) -> str:
    """Write an error to the log; gives a sentence that says where it is, or why it could not be written.

    The log is for its owner only, since what went wrong may hold names; it is safe to show on a terminal.
    """
    path = places.log_path()
    details = clean("".join(traceback.format_exception(fault)))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with open(path, "a", encoding="utf-8", opener=_for_its_owner) as log:
            path.chmod(0o600)  # also one that was made before, open to others
            log.write(details + "\n")
    except OSError as error:
        said = spoken(
            "The details could not be written to {path}: {reason}.", path=path, reason=error.strerror
        )
        return one_line(said)
    return one_line(spoken("The details are in {path}.", path=path))


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
