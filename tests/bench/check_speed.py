"""How long `check` takes and how much memory, against PyYAML's own C parser and the interpreter's start.

By itself (`python tests/bench/check_speed.py`) it also prints the memory by the size of the file.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from long_procedure import long_procedure

SINKSIDE = str(Path(sys.executable).parent / "sinkside")
STEPS = 1000
ROUNDS = 11
FILES = (
    (10, 0),
    (250, 0),
    (500, 0),
    (750, 0),
    (1000, 0),
    (1000, 500_000),
    (1000, 750_000),
    (1000, 1_040_000),
)
"""Steps, and the least size in bytes: up to the most steps, then up to the largest file that is read."""
LOAD = "import sys, yaml; yaml.load(open(sys.argv[1], encoding='utf-8'), Loader=yaml.CSafeLoader)"
CHECK = (
    "import sys\nfrom pathlib import Path\n"
    "from memory import memory_peak\nfrom trainer.procedure.load import load\n"
    "assert load(Path(sys.argv[1])).problems == ()\n"
    "print(memory_peak() * 2**20)"
)


def written(folder: Path, steps: int, size: int = 0) -> Path:
    """A procedure of so many steps and bytes on disk."""
    file = folder / f"steps-{steps}.yaml"
    file.write_text(long_procedure(steps, file.stem, size), encoding="utf-8")
    return file


def seconds(argv: list[str]) -> float:
    """How long a process takes, from its start to its end, compiled files allowed."""
    variables = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(argv, check=True, stdout=subprocess.DEVNULL, env=variables)
    return time.perf_counter() - start


def measure() -> list[tuple[str, float, float, float]]:
    """A row (what, ours in ms, baseline in ms, limit of the ratio): medians, the two taking turns."""
    with tempfile.TemporaryDirectory() as name:
        file = str(written(Path(name), STEPS))
        times: tuple[list[float], list[float]] = ([], [])
        for turn in range(ROUNDS + 1):
            pair = seconds([SINKSIDE, "check", file]), seconds([sys.executable, "-c", LOAD, file])
            if turn:  # the first turn fills the caches
                times[0].append(pair[0])
                times[1].append(pair[1])
    ours, base = (statistics.median(taken) * 1000 for taken in times)
    return [(f"check of {STEPS:,} steps / PyYAML's load and start", ours, base, 4.0)]


def memory() -> list[tuple[int, int, float]]:
    """Rows (steps, bytes of the file, most memory of a process that checks it, in MB)."""
    beside = os.pathsep.join([str(Path(__file__).parent), *filter(None, [os.environ.get("PYTHONPATH")])])
    rows = []
    with tempfile.TemporaryDirectory() as name:
        for steps, size in FILES:
            file = written(Path(name), steps, size)
            told = subprocess.run(
                [sys.executable, "-c", CHECK, str(file)],
                check=True,
                capture_output=True,
                text=True,
                env={**os.environ, "PYTHONPATH": beside},
            )
            rows.append((steps, file.stat().st_size, float(told.stdout) / 1e6))
    return rows


def main() -> None:
    """Print the row of the table, and the memory with how far it is from a straight line."""
    for what, ours, base, limit in measure():
        print(f"{what}: {ours:.0f} ms / {base:.0f} ms = {ours / base:.2f}, at most {limit}")  # noqa: T201
    for steps, size, most in (rows := memory()):
        each = (most - rows[0][2]) * 1e6 / max(1, size - rows[0][1])
        more = f", {each:.0f} bytes for each byte of the file" if size > rows[0][1] else ""
        print(f"{steps:5} steps, {size:9,} bytes: {most:5.1f} MB{more}")  # noqa: T201


if __name__ == "__main__":
    main()
