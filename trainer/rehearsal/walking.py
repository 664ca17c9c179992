"""Several walks at once, as text for people and as JSON for programs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from trainer.procedure import render
from trainer.procedure.text import one_line
from trainer.rehearsal.walk import WalkResult, all_files, run_walk
from trainer.rehearsal.walked_ways import Coverage, coverage

PASSED, FAILED, NONE = 0, 1, 2
"""Exit codes: all passed, one failed, none found or one could not be read."""


@dataclass(frozen=True, slots=True)
class Walked:
    """What came of each walk, in the order of the files."""

    results: tuple[WalkResult, ...]
    folders: bool = False
    """Were the walks of folders done? Then it is told what they have left out."""

    @property
    def exit_code(self) -> int:
        """The worst of PASSED, FAILED and NONE."""
        unreadable = any(found.code.startswith("F") for result in self.results for found in result.findings)
        if not self.results or unreadable:
            return NONE
        return PASSED if all(result.passed for result in self.results) else FAILED

    def as_text(self, *, colour: bool = False) -> str:
        """Every finding with its line and a caret, one line a walk, and a line that sums up."""
        if not self.results:
            return (
                "No walks here. A walk is a YAML file with `walk: 1` at its top: see `sinkside guide walks`."
            )
        lines: list[str] = []
        for result in self.results:
            if result.findings:
                lines.append(render.as_text(result.findings, result.source_text, result.file, colour=colour))
            word = "passed" if result.passed else "FAILED"
            named = f"{result.file}  ({result.name})" if result.name else result.file
            lines.append(f"{word}  {one_line(named)}")
        failed = sum(not result.passed for result in self.results)
        count = len(self.results)
        walks = "1 walk" if count == 1 else f"{count} walks"
        if self.folders:
            lines += (line for one in self.coverage() for line in one.lines())
        lines.append(f"{walks}, {f'{failed} failed' if failed else 'all passed'}.")
        return "\n".join(lines)

    def as_json(self) -> str:
        """`walks`: an object for each walk; `procedures`: for each, what no walk of it has gone through."""
        told = {
            "walks": [_as_object(result) for result in self.results],
            "procedures": [one.as_object() for one in self.coverage()],
        }
        return json.dumps(told, indent=2)

    def coverage(self) -> tuple[Coverage, ...]:
        """What the walks have gone through, for each procedure."""
        return coverage(result.went for result in self.results if result.went is not None)


def walk_all(paths: Sequence[Path]) -> Walked:
    """Do the walks of files and folders."""
    return Walked(tuple(run_walk(file) for file in all_files(paths)), any(path.is_dir() for path in paths))


def _as_object(result: WalkResult) -> dict[str, object]:
    plate = {} if result.plate is None else {"plate": dict(result.plate)}
    return {
        "file": result.file,
        "name": result.name,
        "passed": result.passed,
        "findings": [
            {
                "code": found.code,
                "severity": found.severity,
                "line": found.place.line,
                "column": found.place.column,
                "message": found.message,
                "help": found.help,
            }
            for found in result.findings
        ],
        **plate,
    }
