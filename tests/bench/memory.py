"""The most memory that a benchmark's program had."""

from __future__ import annotations

import resource
from pathlib import Path


def memory_peak() -> float:
    """The most memory that this program had until now, MB of 2**20 bytes.

    Not `ru_maxrss` where there is `/proc` (Linux): a program takes that over from the one that started it.
    """
    status = Path("/proc/self/status")
    if status.exists():
        return int(status.read_text(encoding="ascii").split("VmHWM:")[1].split()[0]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2  # macOS gives bytes
