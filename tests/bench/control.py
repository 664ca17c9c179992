"""A control moved to the plate on the screen, model included, against a bare redraw of the terminal.

The first time that a plate is gummed its sheet goes into the record, which takes longer; that is a row of
`plate_speed`, and here a few presses before the first that counts.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from start import environment
from terminal import Terminal, terminal

HERE = Path(__file__).resolve().parent
PRESSES = 60
BEFORE = 12
"""Presses that do not count."""
REST = 0.1
"""Seconds in which nothing more comes once a frame is out."""


def presses(program: Terminal, first: bytes) -> list[float]:
    """Seconds from each press of `d` to the last byte that it made the program write."""
    program.until(first)
    program.quiet_for(1.0)
    times: list[float] = []
    for _ in range(BEFORE + PRESSES):
        program.send(b"d")
        times.append(program.last_byte(REST))
    return times[BEFORE:]


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms, baseline in ms, limit of the ratio)."""
    with tempfile.TemporaryDirectory() as name:
        variables = environment(Path(name) / "home")
        programs = (("rehearsed.py", b"all controls"), ("bare_plate.py", b"plate001x"))
        times: list[list[float]] = []
        for program, words in programs:
            with terminal([sys.executable, str(HERE / program)], variables, rows=40, cols=120) as shown:
                times.append(presses(shown, words))
    ours, theirs = times

    def p95(values: list[float]) -> float:
        return statistics.quantiles(values, n=20)[-1] * 1000

    middle = [statistics.median(values) * 1000 for values in times]
    return [
        ("control to plate on screen, p50 / redraw", middle[0], middle[1], 2.0),
        ("control to plate on screen, p95 / redraw", p95(ours), p95(theirs), 2.0),
    ]
