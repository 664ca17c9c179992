"""Programs killed at any moment: nothing acknowledged is lost, nothing is half, and work goes on."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from trainer.record.rebuild import dump, rebuild
from trainer.record.verify import verify

APPENDER = Path(__file__).with_name("appender.py")


def _start(record: Path, run: str, wanted: int, how: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(APPENDER), str(record), run, str(wanted), how],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def _kill_after(program: subprocess.Popen[str], said: int, moment: float) -> int:
    """Kill it `moment` seconds after it said `said` numbers; the last number it said."""
    assert program.stdout is not None
    last = 0
    for _ in range(said):
        last = int(program.stdout.readline())
    until = time.perf_counter() + moment
    while time.perf_counter() < until:
        pass
    os.kill(program.pid, signal.SIGKILL)
    rest = program.stdout.read().split()
    program.communicate()
    return int(rest[-1]) if rest else last


def _missing(record: Path, run: str, acknowledged: int) -> list[str]:
    """What is wrong with the record after a kill: lost events, findings, tables that a rebuild changes."""
    # A note may be there: a kill between keeping an event and writing its line in the second place.
    wrong = [finding.message for finding in verify(record).findings if finding.severity == "problem"]
    with closing(sqlite3.connect(record)) as connection:
        kept = [
            seq for (seq,) in connection.execute("SELECT seq FROM events WHERE run = ? ORDER BY seq", (run,))
        ]
        before = dump(connection)
    if kept != list(range(1, len(kept) + 1)):
        wrong.append("there is a gap")
    if len(kept) < acknowledged:
        wrong.append(f"{acknowledged} were acknowledged, {len(kept)} are kept")
    if len(kept) % 2 == 0:
        wrong.append("half an append is kept")
    rebuild(record)
    with closing(sqlite3.connect(record)) as connection:
        if dump(connection) != before:
            wrong.append("the tables differ from what the events give")
    return wrong


@pytest.mark.long
def test_kill_9_loses_nothing_acknowledged_and_work_goes_on(tmp_path: Path) -> None:
    """Sixty kills at random moments of one and the same run: every check holds after each of them."""
    random = Random(7)  # noqa: S311 - moments, not secrets
    record = tmp_path / "record.db"
    for kill in range(60):
        program = _start(record, "r1", 10_000, "late")
        acknowledged = _kill_after(program, random.randint(1, 6), random.random() * 0.004)
        assert _missing(record, "r1", acknowledged) == [], kill


@pytest.mark.long
def test_kill_9_while_a_record_is_made_leaves_one_that_can_be_opened(tmp_path: Path) -> None:
    """Thirty kills from before the first table to after the first events: the next start opens the record."""
    random = Random(11)  # noqa: S311 - as above
    for kill in range(30):
        record = tmp_path / str(kill) / "record.db"
        program = _start(record, "r1", 5, "late")
        until = time.perf_counter() + 0.04 + random.random() * 0.05
        while time.perf_counter() < until:
            pass
        program.kill()
        program.communicate()
        again = _start(record, "r1", 2, "late")
        assert again.communicate(input="")[0].split(), kill
        assert again.returncode == 0
        assert _missing(record, "r1", 1) == [], kill


def test_the_check_sees_what_a_program_that_speaks_too_early_loses(tmp_path: Path) -> None:
    """The same check finds the lost events of a sabotaged program, so it can fail."""
    record = tmp_path / "record.db"
    acknowledged = _kill_after(_start(record, "r1", 3, "early"), 4, 0.0)
    assert acknowledged == 7
    assert _missing(record, "r1", acknowledged) == ["7 were acknowledged, 5 are kept"]
