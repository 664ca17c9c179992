"""A session that is detached, attached again at another size, or ended. Only where tmux is installed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pexpect
import pyte
import pytest
from sink import COLUMNS, ROWS, NotShown
from terminal_kit import HERE, PLATE, Sitting, Watched, arguments

from trainer.procedure.load import load
from trainer.record.journal import StationJournal
from trainer.run import clock
from trainer.screens.figures import big

__test__ = shutil.which("tmux") is not None
"""pytest looks at this: without tmux there is nothing here to try."""

SERVER = f"sinkside-tests-{os.getpid()}"


def tmux(*words: str) -> str:
    """Do something in a server of our own; gives what it says.

    The environment is named, since a line editor in pytest puts LINES and COLUMNS into its own.
    """
    line = ["tmux", "-L", SERVER, "-f", os.devnull, *words]
    done = subprocess.run(line, check=True, capture_output=True, text=True, env=dict(os.environ))
    return done.stdout.strip()


@dataclass
class Session(Watched):
    """A program in a session of tmux; the sink's terminal is that of a client, which comes and goes."""

    def start(self) -> None:
        """Start the program in a new session, and attach to it."""
        program = [str(HERE / "changed_build.py"), str(self.offset_file), self.change, *self.arguments]
        size = ["-x", str(COLUMNS), "-y", str(ROWS)]
        tmux("new-session", "-d", *size, sys.executable, *program, ";", "set", "-g", "status", "off")
        self.process = int(tmux("display-message", "-p", "#{pane_pid}"))
        self.attach(COLUMNS, ROWS)

    def attach(self, columns: int, rows: int) -> None:
        """Look at the session with a terminal of that size."""
        self.raw, self.held = b"", -1
        self.screen = pyte.Screen(columns, rows)
        self.stream = pyte.ByteStream(self.screen)
        self.child = pexpect.spawn(
            "tmux",
            ["-L", SERVER, "attach"],
            env={name: value for name, value in self.environment().items() if name != "TMUX"},
            dimensions=(rows, columns),
        )
        self.until(lambda _: tmux("list-clients") != "", "the client among those of the session")

    def detach(self) -> None:
        """Leave the session to itself."""
        tmux("detach-client")
        assert self.ended() == 0, f"The client did not end: {self.raw!r}"

    def drawn_whole(self, within: float = 20.0) -> None:
        """Wait until the row of keys is the last of the screen, where it belongs at any size."""
        self.until(lambda screen: "h  help" in screen.splitlines()[-1], "the keys in the last row", within)

    def is_there(self) -> bool:
        """Whether the program lives."""
        try:
            os.kill(self.process, 0)
        except ProcessLookupError:
            return False
        return True


@contextmanager
def in_a_session(folder: Path, change: str = "none") -> Iterator[Sitting]:
    """A trainee whose run has begun in a session of its own."""
    record = folder / "record.db"
    try:
        with StationJournal(record, clock.SystemClock()) as journal:
            sink = Session(folder, arguments(record), change=change)
            yield Sitting(sink, load(PLATE).require(), journal)
            sink.finish()
    finally:
        subprocess.run(["tmux", "-L", SERVER, "kill-server"], check=False, capture_output=True)


def session(trainee: Sitting) -> Session:
    """The trainee's terminal."""
    assert isinstance(trainee.sink, Session)
    return trainee.sink


@pytest.mark.long
def test_detached_in_a_countdown_and_attached_at_another_size(tmp_path: Path) -> None:
    """While nobody looks the countdown counts; attached, it is drawn at the new size, and keys work."""
    with in_a_session(tmp_path) as trainee:
        sink = session(trainee)
        trainee.work_to("waiting")
        for columns, rows in ((100, 30), (60, 20), (COLUMNS, ROWS)):
            sink.detach()
            sink.pass_time(10.0)
            sink.attach(columns, rows)
            sink.drawn_whole()
        sink.until(lambda screen: all(row.rstrip() in screen for row in big("01:00")), "what is left")
        trainee.see_step()
        trainee.do_right()


@pytest.mark.long
def test_an_ended_session_ends_the_program(tmp_path: Path) -> None:
    """When the session is ended the program is gone, and the run goes on in a new one."""
    with in_a_session(tmp_path) as trainee:
        sink = session(trainee)
        trainee.work_to("waiting")
        tmux("kill-server")
        deadline = time.monotonic() + 20
        while sink.is_there():
            assert time.monotonic() < deadline, "The program was left behind."
            sink.read()
        sink.ended()
        trainee.starts_again()


@pytest.mark.long
def test_a_build_that_does_not_draw_anew_is_caught(tmp_path: Path) -> None:
    """A build that does not hear of another size is reported when it is attached to at one."""
    with in_a_session(tmp_path, "no drawing anew") as trainee:
        sink = session(trainee)
        sink.drawn_whole()
        sink.detach()
        sink.attach(100, 30)
        with pytest.raises(NotShown, match="the last row"):
            sink.drawn_whole(within=2.0)
