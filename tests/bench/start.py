"""First text of the start screen, and `run` to its first step, against a bare Textual app."""

from __future__ import annotations

import os
import re
import statistics
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

from terminal import terminal

HERE = Path(__file__).resolve().parent
SINKSIDE = str(Path(sys.executable).parent / "sinkside")
ROUNDS = 11


def environment(home: Path) -> dict[str, str]:
    """Ours and the bare app's: the same terminal, compiled files allowed, a data folder of its own."""
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("SINKSIDE_", "TEXTUAL"))
    }
    kept.pop("PYTHONDONTWRITEBYTECODE", None)
    return kept | {"TERM": "xterm-256color", "COLORTERM": "truecolor", "SINKSIDE_HOME": str(home)}


def first_text(argv: list[str], words: bytes, variables: Mapping[str, str]) -> float:
    """Seconds from the start of the process to `words` on its terminal."""
    with terminal(argv, variables) as program:
        return program.until(words)


def copied(shipped: str, name: str, folder: Path) -> Path:
    """A shipped procedure without its cautions, so that its first step stands at once."""
    source = (HERE.parent.parent / "procedures" / f"{shipped}.yaml").read_text(encoding="utf-8")
    source = re.sub(r"^cautions:\n(?:[ #].*\n|\n)+", "", source, flags=re.MULTILINE)
    copy = folder / f"{name}.yaml"
    copy.write_text(source.replace(f"id: {shipped}\n", f"id: {name}\n"), encoding="utf-8")
    return copy


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms, baseline in ms, limit of the ratio): medians, the three taking turns."""
    shipped, no_cautions = "negative-plate-two-burns", "without-cautions"
    programs = {
        "bare": ([sys.executable, str(HERE / "bare_app.py")], b"Readyword"),
        "start": ([SINKSIDE], b"Sinkside"),
        "cautions": ([SINKSIDE, "run", shipped, "--trainee", "T-01"], b"Before"),
    }
    times: dict[str, list[float]] = {name: [] for name in (*programs, "step")}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        programs["step"] = (
            [SINKSIDE, "run", str(copied(shipped, no_cautions, folder)), "--trainee", "T-01"],
            b"Fetch",
        )
        for turn in range(ROUNDS + 1):
            variables = environment(folder / str(turn))
            for which, (argv, words) in programs.items():
                took = first_text(argv, words, variables)
                if turn:  # the first turn fills the caches
                    times[which].append(took)
    middle = {which: statistics.median(values) * 1000 for which, values in times.items()}
    return [
        ("start screen, first text / bare app", middle["start"], middle["bare"], 1.5),
        ("run, first page (its cautions) / bare app", middle["cautions"], middle["bare"], 2.0),
        ("run, first step (no cautions) / bare app", middle["step"], middle["bare"], 2.0),
    ]
