"""From the start screen to the class at a glance, against a bare table of the same runs.

`python tests/bench/review.py [RECORD]` measures on an invented class of 400 runs, or on a named record.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from start import SINKSIDE, environment
from terminal import Terminal, terminal

HERE = Path(__file__).resolve().parent
ROUNDS = 11
F8 = b"\x1b[19~"
LIMIT = 2.0
RUNS, SEED = 400, 7


def class_of(folder: Path) -> Path:
    """An invented class of 400 wet runs, as `sinkside demo` makes it."""
    from trainer.rehearsal.invented.making import make_class
    from trainer.rehearsal.invented.writing import write

    path = folder / "class.db"
    write(make_class(SEED, RUNS, rehearsals=False, processes=2), path)
    return path


def from_start(argv: list[str], folder: Path, ready: bytes, key: bytes, there: bytes) -> float:
    """Seconds from the key on the first screen to words of the second."""
    with terminal(argv, environment(folder)) as program:
        program.until(ready)
        _rest(program)
        program.send(key)
        return program.until(there)


def _rest(program: Terminal) -> None:
    """Until the first screen has nothing more to draw."""
    program.quiet_for(0.4)


def measure(record: Path | None = None) -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms, baseline in ms, limit of the ratio): medians, the two taking turns."""
    ours: list[float] = []
    bare: list[float] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = record or class_of(folder)
        for turn in range(ROUNDS + 1):
            home = folder / str(turn)
            took = from_start([SINKSIDE, "--record", str(path)], home, b"Trainee", F8, b"T-14")
            base = from_start(
                [sys.executable, str(HERE / "bare_table.py"), str(path)], home, b"Readyword", b"\r", b"T-0"
            )
            if turn:  # the first turn fills the caches
                ours.append(took)
                bare.append(base)
    middle, base = statistics.median(ours) * 1000, statistics.median(bare) * 1000
    return [("start screen to a class of 400 runs / bare table", middle, base, LIMIT)]


if __name__ == "__main__":
    for what, mine, theirs, limit in measure(Path(sys.argv[1]) if len(sys.argv) > 1 else None):
        print(f"{what:50} {mine:8.1f} {theirs:8.1f} {mine / theirs:6.2f} {limit:6.1f}")  # noqa: T201
