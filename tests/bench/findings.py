"""All findings of a school against polars queries for the same columns, written by hand, in the same process.

By itself (`python tests/bench/findings.py ATTEMPTS`) it makes the review once and prints the seconds it took
and the peak of memory, MB, of a process that does nothing else (but draw the school, which is smaller).
"""

from __future__ import annotations

import gc
import math
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import NamedTuple

import by_hand
import synthetic
from memory import memory_peak

from trainer.insight.results import Wanted
from trainer.insight.review import review

SIZES = (10_000, 100_000, 1_000_000)
SEED = 7
REPEATS = 3
RATIO = 1.5
MEMORY = 1000.0
"""A million attempts take no more MB."""
EXPONENT = 1.1
"""Of the cost, between the smallest size and the largest: 1 is linear."""
NOW = datetime(2027, 2, 15, tzinfo=UTC)


class Taken(NamedTuple):
    """Milliseconds: by the clock, and of processors (which another program at work changes less)."""

    wall: float
    processor: float


def timed(call: Callable[[], object]) -> Taken:
    """What one call takes."""
    gc.collect()
    wall, processor = time.perf_counter(), time.process_time()
    call()
    return Taken((time.perf_counter() - wall) * 1000, (time.process_time() - processor) * 1000)


def of_size(attempts: int) -> tuple[Taken, Taken]:
    """Of the review and of the queries, the best of a few each, in turns."""
    frames, facts = synthetic.frames(attempts, SEED), synthetic.facts()
    ours, base = [], []
    for _ in range(REPEATS):
        ours.append(timed(lambda: review(frames, facts, Wanted(), NOW)))
        base.append(timed(lambda: by_hand.everything(frames, facts, NOW)))
    return _best(ours), _best(base)


def _best(times: list[Taken]) -> Taken:
    return Taken(min(one.wall for one in times), min(one.processor for one in times))


def measure() -> list[tuple[str, float, float, float]]:
    """What, ours, the baseline, both in ms (or MB, or an exponent), and the most that the ratio may be."""
    of_size(SIZES[0])  # libraries are loaded, and that counts for neither
    found: list[tuple[str, float, float, float]] = []
    costs: list[float] = []
    for size in SIZES:
        ours, base = of_size(size)
        costs.append(ours.processor)
        limit = RATIO if size == SIZES[-1] else math.inf
        found.append((f"findings, {size:,} attempts: by hand", ours.wall, base.wall, limit))
        found.append((f"findings, {size:,}: processor time", ours.processor, base.processor, limit))
    exponent = math.log(costs[-1] / costs[0]) / math.log(SIZES[-1] / SIZES[0])
    found.append(("exponent of that from 10,000 on: linear", exponent, 1.0, EXPONENT))
    found.append(("memory of that, MB: the limit", alone(), MEMORY, 1.0))
    return found


def alone() -> float:
    """The peak of memory, MB, of a process that makes one review of the largest school."""
    command = [sys.executable, __file__, str(SIZES[-1])]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return float(done.stdout.split()[-1])


def main() -> None:
    """One review; print its seconds and this process's peak of memory in MB."""
    frames, facts = synthetic.frames(int(sys.argv[1]), SEED), synthetic.facts()
    taken = timed(lambda: review(frames, facts, Wanted(), NOW))
    peak = memory_peak()
    print(f"{taken.wall / 1000:.1f} {peak:.0f}")  # noqa: T201


if __name__ == "__main__":
    main()
