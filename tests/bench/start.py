"""First text of the start screen, and `run` to its first step, against a bare Textual app."""

from __future__ import annotations

import os
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


def measure() -> list[tuple[str, float, float, float]]:
    """Rows (what, ours in ms, baseline in ms, limit of the ratio): medians, the three taking turns."""
    bare = [sys.executable, str(HERE / "bare_app.py")]
    first_words = b"Before"  # the cautions that every procedure opens with
    times: dict[str, list[float]] = {"bare": [], "start": [], "run": []}
    with tempfile.TemporaryDirectory() as folder:
        for turn in range(ROUNDS + 1):
            variables = environment(Path(folder) / str(turn))
            start = first_text([SINKSIDE], b"Sinkside", variables)
            run_argv = [SINKSIDE, "run", "negative-plate-two-burns", "--trainee", "T-01"]
            run = first_text(run_argv, first_words, variables)
            blank = first_text(bare, b"Readyword", variables)
            if turn:  # the first turn fills the caches
                for name, value in (("start", start), ("run", run), ("bare", blank)):
                    times[name].append(value)
    middle = {name: statistics.median(values) * 1000 for name, values in times.items()}
    return [
        ("start screen, first text / bare app", middle["start"], middle["bare"], 1.5),
        ("run PROCEDURE, first step / bare app", middle["run"], middle["bare"], 2.0),
    ]
