"""Walks written into a folder beside the procedure they are about."""

from __future__ import annotations

import shutil
from pathlib import Path

from trainer.rehearsal.walk import WalkResult, run_walk

PROCEDURE = Path(__file__).resolve().parent / "try_procedure.yaml"
HEAD = "walk: 1\nprocedure: try-procedure\n"


def write(folder: Path, text: str, name: str = "walk.yaml") -> Path:
    """A file in `folder`, with the procedure beside it."""
    shutil.copy(PROCEDURE, folder / "try-procedure.yaml")
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def outcome(folder: Path, acts: str, expect: str = "", top: str = "") -> WalkResult:
    """What comes of a walk of the procedure that has every task once. `acts` and `expect` are YAML parts."""
    text = f"{HEAD}{top}acts:\n{acts}" + (f"expect:\n{expect}" if expect else "")
    return run_walk(write(folder, text))


def found(result: WalkResult) -> list[tuple[str, int, int]]:
    """Code, line and column of each finding, warnings apart."""
    errors = [finding for finding in result.findings if finding.severity == "error"]
    return [(finding.code, finding.place.line, finding.place.column) for finding in errors]
