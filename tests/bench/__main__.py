"""One table of ratios: `python tests/bench` (not under any test; figures depend on the machine).

`python tests/bench --only durable,fold` measures those alone; `--list` says what there is. A ratio over
its limit is marked, and the command ends with 1. Times in a terminal want a machine that does nothing else.
"""

from __future__ import annotations

import argparse
import importlib
import math
import sys
import time
from collections.abc import Iterator, Sequence

MEASURED = {
    "start": "start screen and the first step of a run, against a bare app",
    "key": "a key pressed to the next step painted, against a widget swapped after a commit",
    "control": "a control moved to the plate on the screen, against a redraw",
    "durable": "an act made durable by the journal, against the same rows by sqlite3",
    "fold": "the fold of a run of 10,000 events, against reading them with json",
    "machine": "steps of the run's machine, against bare transitions",
    "plate_speed": "a plate computed, against a frame and a logistic pass",
    "check_speed": "a procedure checked, against PyYAML",
    "preview_speed": "a procedure looked at as it is written",
    "review": "a class on the review's first page, against a bare table",
    "findings": "findings of a school, against queries by hand",
    "shared_review": "findings of 5,000,000 events in the shared record, within 2 GB",
    "forwarding": "events forwarded into the shared record, against a raw COPY",
}
"""The modules of the table, each with `measure() -> [(what, ours, baseline, limit of the ratio)]`."""

Row = tuple[str, float, float, float]


def names() -> list[str]:
    """What is to be measured, as the command line says."""
    parser = argparse.ArgumentParser(prog="python tests/bench", description=__doc__)
    parser.add_argument("--only", metavar="NAME,NAME", help="measure these alone")
    parser.add_argument("--list", action="store_true", help="say what there is, and measure nothing")
    given = parser.parse_args()
    if given.list:
        print("\n".join(f"{name:14} {said}" for name, said in MEASURED.items()))  # noqa: T201
        return []
    chosen = given.only.split(",") if given.only else list(MEASURED)
    if unknown := [name for name in chosen if name not in MEASURED]:
        parser.error(f"there is no {unknown[0]}; there are {', '.join(MEASURED)}")
    return chosen


def measured(chosen: Sequence[str]) -> Iterator[tuple[str, list[Row]]]:
    """The rows of each module; it is imported only when its turn comes, so that none weighs on another."""
    for name in chosen:
        yield name, importlib.import_module(name).measure()


def main() -> int:
    """Measure and print. 1 where a ratio is over its limit."""
    over = 0
    begun = time.perf_counter()
    chosen = names()
    if chosen:
        print(f"{'what':54} {'ours':>9} {'base':>9} {'ratio':>6} {'limit':>6}")  # noqa: T201
    for name, rows in measured(chosen):
        for what, ours, base, limit in rows:
            ratio = ours / base
            verdict, most = ("  over", limit) if ratio > limit else ("", limit)
            over += bool(verdict)
            said = f"{most:6.2f}" if math.isfinite(most) else "     -"
            print(f"{what:54} {ours:9.1f} {base:9.1f} {ratio:6.2f} {said}{verdict}", flush=True)  # noqa: T201
        print(f"  {name}: {time.perf_counter() - begun:.0f} s so far", file=sys.stderr)  # noqa: T201
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
