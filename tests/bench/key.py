"""Key press to the new step painted, against a bare widget swap that first commits one row."""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from start import SINKSIDE, environment
from terminal import Terminal, terminal

HERE = Path(__file__).resolve().parent
PRESSES = 60
HELD = 0.45
"""Seconds between presses: repeats within 400 ms of a new step are not taken."""


def procedure(folder: Path) -> Path:
    """Plain acts, each with a word of its own and a sign that keeps it in plain letters."""
    steps = "\n".join(
        f"      - {{id: act-{number}, do: 'Do act{number:03}x & go on.', key_points: [Slowly], why: So.}}"
        for number in range(1, PRESSES + 3)
    )
    path = folder / "many-acts.yaml"
    path.write_text(
        "format: 1\nid: many-acts\ntitle: Many acts\nrevision: 1\nsummary: Acts to press through.\n"
        f"stages:\n  - id: only\n    title: Only\n    steps:\n{steps}\n",
        encoding="utf-8",
    )
    return path


def presses(program: Terminal) -> list[float]:
    """Seconds from each press of Space to the next act's word."""
    program.until(b"act001x")
    times: list[float] = []
    for number in range(2, PRESSES + 2):
        program.read_for(HELD)
        program.send(b" ")
        times.append(program.until(f"act{number:03}x".encode()))
    return times


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms, baseline in ms, limit of the ratio)."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        variables = environment(folder / "home")
        argv = [SINKSIDE, "run", str(procedure(folder)), "--trainee", "T-01"]
        with terminal(argv, variables) as program:
            ours = presses(program)
        bare = [sys.executable, str(HERE / "bare_swap.py"), str(folder / "bare.db")]
        with terminal(bare, variables) as program:
            theirs = presses(program)

    def p95(times: list[float]) -> float:
        return statistics.quantiles(times, n=20)[-1] * 1000

    return [
        (
            "key to step painted, p50 / swap + commit",
            statistics.median(ours) * 1000,
            statistics.median(theirs) * 1000,
            1.5,
        ),
        ("key to step painted, p95 / swap + commit", p95(ours), p95(theirs), 2.0),
    ]
