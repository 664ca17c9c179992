"""No terminal at all, or one that goes away without a word: a sentence, or an end."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from terminal_kit import HERE, Watched, arguments, ends_well

from trainer.screens.app import NO_TERMINAL


def refused(folder: Path, redirected: str, change: str = "none") -> None:
    """Started with a stream that is no terminal, it says so and ends with 2."""
    sink = Watched(folder, arguments(folder / "record.db"), change=change, redirected=redirected)
    try:
        ends_well(sink, 2, [] if "2>" in redirected else [NO_TERMINAL])
    finally:
        sink.finish()


@pytest.mark.long
@pytest.mark.parametrize("redirected", ["</dev/null", ">/dev/null", "2>/dev/null", "<&-", ">&-", "2>&-"])
def test_a_stream_that_is_no_terminal(tmp_path: Path, redirected: str) -> None:
    """With one of its three streams elsewhere or closed, the screens are refused with 2 and a sentence."""
    refused(tmp_path, redirected)


@pytest.mark.long
def test_a_build_that_hides_that_there_is_no_terminal_is_caught(tmp_path: Path) -> None:
    """A build that ends with 0 where there is no terminal is reported."""
    with pytest.raises(AssertionError, match="did not end with 2 but with 0"):
        refused(tmp_path, "</dev/null", "exit code lost")


@contextmanager
def unheard(folder: Path, change: str = "none") -> Iterator[subprocess.Popen[bytes]]:
    """A run on a terminal that is not its controlling one, so that no SIGHUP tells of its end."""
    outside, inside = os.openpty()
    clock = folder / "offset"
    clock.write_text("0.0", encoding="ascii")
    line = [
        sys.executable,
        str(HERE / "changed_build.py"),
        str(clock),
        change,
        *arguments(folder / "record.db"),
    ]
    environment = {**os.environ, "TERM": "xterm-256color"}
    with subprocess.Popen(
        line, stdin=inside, stdout=inside, stderr=inside, env=environment, start_new_session=True
    ) as program:
        os.close(inside)
        seen = b""
        while b"pinholes" not in seen:
            seen += os.read(outside, 65536)
        os.close(outside)
        try:
            yield program
        finally:
            program.kill()


def test_a_terminal_that_goes_without_a_signal_ends_the_program(tmp_path: Path) -> None:
    """Nobody sends SIGHUP, the terminal is just gone: the program ends as if one had come."""
    with unheard(tmp_path) as program:
        assert program.wait(timeout=20) == 129


@pytest.mark.long
def test_a_build_that_waits_for_a_gone_terminal_is_caught(tmp_path: Path) -> None:
    """A build with the library's own driver stays behind when its terminal goes without a signal."""
    with unheard(tmp_path, "library driver") as program, pytest.raises(subprocess.TimeoutExpired):
        program.wait(timeout=2)
