"""`record forward --watch` whose log lies on a full disk goes on, and ends when it is asked to."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from record_kit import station_with_a_run

pytestmark = [
    pytest.mark.long(seconds=4),
    pytest.mark.skipif(not Path("/dev/full").exists(), reason="No device that never has room."),
]
TRIES = 2
"""The wait between them is drawn between nothing and 2 seconds."""


def test_a_log_on_a_full_disk_ends_no_forwarding(tmp_path: Path) -> None:
    """A server that turns everybody away, and no room to say so: it is tried again until the program ends."""
    station = station_with_a_run(tmp_path)
    with socket.create_server(("127.0.0.1", 0)) as listening, Path("/dev/full").open("w") as full:
        listening.settimeout(30)
        port = listening.getsockname()[1]
        forward = ["-m", "trainer.cli", "record", "--record", str(station.path), "forward", "--watch"]
        program = subprocess.Popen(
            [sys.executable, *forward],
            stdout=full,
            stderr=full,
            env={**os.environ, "SINKSIDE_SHARED": f"postgresql://nobody@127.0.0.1:{port}/none"},
        )
        try:
            for _ in range(TRIES):
                listening.accept()[0].close()
            assert program.poll() is None
            program.send_signal(signal.SIGTERM)
            program.wait(10)
        finally:
            program.kill()
            program.wait()
    assert program.returncode in (0, 120)  # 120: Python's own word for what it could not write at its end
