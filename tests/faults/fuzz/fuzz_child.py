"""A process of its own that tries one target on whatever it is sent: `python fuzz_child.py TARGET MEGABYTES`.

Says that it is ready; then reads a length (4 bytes) and as many bytes, again and again, and answers each with
one line of JSON. It may not take more memory than it is given, so a target that grows without bound ends in
MemoryError and not in the machine's.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import time
import traceback
from pathlib import Path

from fuzz_kit import Target
from fuzz_targets import TARGETS


def answer(target: Target, data: bytes) -> dict[str, object]:
    """What became of one try: kind, words, seconds of work."""
    before = time.process_time()
    kind, words = "fine", ""
    try:
        target(data)
    except MemoryError:
        kind, words = "memory", "more memory than allowed"
    except Exception as error:  # noqa: BLE001 - whatever comes out of a target is what is looked for
        kind = "wrong" if isinstance(error, AssertionError) else "crash"
        at = traceback.extract_tb(error.__traceback__)[-1]
        words = f"{type(error).__name__}: {str(error)[:300]} ({Path(at.filename).name}:{at.lineno} {at.name})"
    return {"kind": kind, "words": words, "seconds": time.process_time() - before}


def serve(name: str, megabytes: int) -> None:
    """Answer until the other side closes. What a target prints goes to stderr."""
    target = TARGETS[name]()
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    most = pages * resource.getpagesize() + megabytes * 2**20
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    out.write("ready\n")
    out.flush()
    while len(head := sys.stdin.buffer.read(4)) == 4:
        data = sys.stdin.buffer.read(int.from_bytes(head, "big"))
        out.write(json.dumps(answer(target, data)) + "\n")
        out.flush()


if __name__ == "__main__":
    serve(sys.argv[1], int(sys.argv[2]))
