"""Fuzzing guided by what the program's own code does: an extra, for long hours; `pip install atheris` first.

    python tests/faults/fuzz/by_coverage.py TARGET [FOLDER OF INPUTS] [-max_total_time=600 ...]

TARGET is a name of `fuzz_targets`; the rest goes to libFuzzer, whose limits hold here (4 s an input, 2 GB).
What it finds is printed and kept as a file `crash-...`; mended, it becomes a row of `fuzz_cases`.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

HERE = Path(__file__).resolve().parent
HELPERS = (HERE.parent.parent / "run", HERE.parent.parent / "record", HERE.parents[2])


def main(target: str, *options: str) -> None:
    """Fuzz a target until it breaks, or as long as the options say."""
    sys.path[:0] = map(str, HELPERS)
    with atheris.instrument_imports(include=["trainer"]):
        from fuzz_targets import TARGETS  # imported here, so that coverage is counted
    limits = ["-timeout=4", "-rss_limit_mb=2048"]
    atheris.Setup([sys.argv[0], *limits, *options], TARGETS[target]())
    atheris.Fuzz()


if __name__ == "__main__":
    main(*sys.argv[1:])
