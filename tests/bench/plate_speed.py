"""How long a plate takes: a control moved to new strips, and a whole plate at 300 dpi with its sheet.

By itself (`python tests/bench/plate_speed.py`) it prints the milliseconds of a whole plate, and the peak of
memory of a process that makes nothing else.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from memory import memory_peak
from numpy.typing import NDArray

from trainer.bench import picture
from trainer.bench import settings as bench_settings
from trainer.bench.artwork_file import job_from, letters_from
from trainer.bench.made import banded, made
from trainer.bench.measures import Wanted, sheet
from trainer.bench.plate import Burn, Finishing, Treatment, Work, opaquing
from trainer.bench.raster import Grid
from trainer.bench.settings import BenchSettings
from trainer.procedure.reader import read_tree

ASSETS = Path(__file__).resolve().parents[2] / "assets"
FRAME = 8.0
"""A control moved is drawn within so many ms, at the 95th of a hundred."""

MEMORY = 600.0
"""A whole plate takes no more MB."""

MOVES = 60
REPEATS = 3


def value_of(name: str) -> object:
    """The plain tree of a shipped file."""
    path = ASSETS / name
    return read_tree(path.read_bytes(), path.name).value


def plate() -> tuple[Work, BenchSettings]:
    """A right plate of the tide-table card in black, two burns, developed and gummed."""
    job = job_from(value_of("jobs/tide-table-card.yaml"), letters_from(value_of("jobs/letters.yaml")))
    burns = tuple(
        Burn(one, job.film(one).mask, 24.0, 70.0, wedge=one == "black", opaque=opaquing(job.film(one), "all"))
        for one in ("black", "marks")
    )
    treatments = (Treatment(60.0, 75.0, 22.0),)
    finishing = Finishing("both-sides", 30.0, 10.0, 20.0, "thin", buffed=True)
    work = Work(job, burns, treatments=treatments, finishing=finishing)
    return work, bench_settings.settings(bench_settings.constants(value_of("bench.yaml")))


def timed(call: Callable[[], object]) -> float:
    """Milliseconds of one call."""
    start = time.perf_counter()
    call()
    return (time.perf_counter() - start) * 1000


def moved(work: Work, settings: BenchSettings, grid: Grid) -> float:
    """The 95th percentile, ms, of moving the units and drawing the plate anew, model and strips."""
    first = work.burns[0]
    times = []
    for step in range(MOVES):
        other = replace(work, burns=(replace(first, units=10.0 + step), *work.burns[1:]))
        times.append(timed(partial(_anew, other, settings, grid)))
    return statistics.quantiles(times[1:], n=20)[-1]


def _anew(work: Work, settings: BenchSettings, grid: Grid) -> object:
    return picture.rows(made(work, grid, settings), "full")


def logistic(raster: NDArray[np.float32]) -> NDArray[np.float32]:
    """The baseline: one logistic in the logarithm of the dose over the whole raster."""
    one = np.float32(1.0)
    return np.asarray(one / (one + np.exp((np.float32(0.3) - np.log10(raster)) * np.float32(12.0))))


def whole(work: Work, settings: BenchSettings) -> float:
    """Milliseconds of a whole plate at 300 dpi, band by band, and its sheet."""
    grid = Grid.at_dpi(work.job.width, work.job.height, 300.0)

    def run() -> None:
        total = 0.0
        for band in banded(work, grid, settings):
            total += float(band.kept.sum())
        assert total > 0
        assert sheet(work, settings, Wanted(("black", "marks"))).passes

    return timed(run)


def measure() -> list[tuple[str, float, float, float]]:
    """What, ours, the baseline, both in ms or MB, and the most that the ratio may be."""
    work, settings = plate()
    found = []
    for cols, rows in ((80, 24), (120, 40)):
        whole_plate = picture.whole(work.job, cols, rows)
        for what, grid in (
            ("plate", whole_plate),
            ("loupe", Grid.around(125.0, 150.0, whole_plate.pixel / 4, cols, 2 * rows)),
        ):
            ours = moved(work, settings, grid)
            found.append((f"control moved, {what} {cols}x{rows}: a frame", ours, FRAME, 1.0))
    ours = min(whole(work, settings) for _ in range(REPEATS))
    grid = Grid.at_dpi(work.job.width, work.job.height, 300.0)
    raster = np.full((grid.rows, grid.cols), 2.0, dtype=np.float32)
    base = min(timed(lambda: logistic(raster)) for _ in range(REPEATS))
    found.append(("plate 300 dpi and sheet: a logistic pass", ours, base, 40.0))
    found.append(("memory of that, MB: the limit", alone(), MEMORY, 1.0))
    return found


def alone() -> float:
    """The peak of memory, MB, of a process that makes one whole plate and its sheet."""
    done = subprocess.run([sys.executable, __file__], check=True, capture_output=True, text=True)
    return float(done.stdout.split()[-1])


def main() -> None:
    """One whole plate; print its milliseconds and this process's peak of memory in MB."""
    taken = whole(*plate())
    peak = memory_peak()
    print(f"{taken:.0f} {peak:.0f}")  # noqa: T201


if __name__ == "__main__":
    main()
