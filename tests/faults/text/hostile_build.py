"""The real program, its cleaning taken out where a test says: `python hostile_build.py OFFSET_FILE ARGS...`.

HOSTILE_LEAKS names modules, with commas between; without it this is the program as it ships. Arguments
are those of `stepped_clock`, which starts it.
"""

from __future__ import annotations

import importlib
import os
import runpy
import sys
from pathlib import Path

STEPPED = Path(__file__).resolve().parents[2] / "end_to_end" / "stepped_clock.py"


def leak(module: str) -> None:
    """Take the cleaning out of a module."""
    place = importlib.import_module(module)
    for name in {"clean", "one_line"} & vars(place).keys():
        setattr(place, name, str)


if __name__ == "__main__":
    for named in filter(None, os.environ.get("HOSTILE_LEAKS", "").split(",")):
        leak(named)
    sys.path.insert(0, str(STEPPED.parent))
    runpy.run_path(str(STEPPED), run_name="__main__")
