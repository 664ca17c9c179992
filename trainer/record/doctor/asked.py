"""What is looked at: the station's places, its machine and its terminal, as values that a test can make."""

from __future__ import annotations

import locale
import os
import shlex
import shutil
import sys
from collections.abc import Mapping
from pathlib import Path

from trainer.procedure.text import one_line
from trainer.run.frozen import frozen
from trainer.run.ports import Clock


@frozen
class Screen:
    """The terminal: cells, colours it promises, the encoding of what is written. columns 0: there is none."""

    columns: int
    rows: int
    colours: int | None
    encoding: str


@frozen
class Asked:
    """One looking over. named_by: in words, where the record's path comes from."""

    record: Path
    named_by: str
    shop: Path
    procedures: Path
    clock: Clock
    environment: Mapping[str, str]
    screen: Screen
    encoding: str
    user: int | None


def here(record: Path, named_by: str, shop: Path, procedures: Path, clock: Clock) -> Asked:
    """This station, as it is now."""
    user = os.geteuid() if hasattr(os, "geteuid") else None  # not on every system
    encoding = locale.getpreferredencoding(do_setlocale=False)
    return Asked(record, named_by, shop, procedures, clock, dict(os.environ), _screen(), encoding, user)


def _screen() -> Screen:
    if sys.stdout is None or not sys.stdout.isatty():
        return Screen(0, 0, None, "")
    size = shutil.get_terminal_size((0, 0))
    return Screen(size.columns, size.lines, _colours(), sys.stdout.encoding or "")


def _colours() -> int | None:
    """How many colours the terminal's entry in the system's list promises; None where it has no entry."""
    try:
        import curses  # not on every system
    except ImportError:
        return None
    try:
        curses.setupterm()
    except curses.error:
        return None
    return curses.tigetnum("colors")


def quoted(path: Path | str) -> str:
    """A path as a shell takes it."""
    return shlex.quote(one_line(str(path)))
