"""Several procedure files checked at once, as text for people and as JSON for programs."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from trainer.procedure import render
from trainer.procedure.files import FileTrouble
from trainer.procedure.load import Loaded, files_in, load

CLEAN, PROBLEMS, UNREADABLE = 0, 1, 2
"""Exit codes: clean or warnings only, problems, could not be read."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found in each file, in the order given."""

    files: tuple[Loaded, ...]

    @property
    def exit_code(self) -> int:
        """The worst of CLEAN, PROBLEMS and UNREADABLE."""
        errors = [problem for file in self.files for problem in file.problems if problem.severity == "error"]
        if any(problem.code.startswith("F") for problem in errors):
            return UNREADABLE
        return PROBLEMS if errors else CLEAN

    def as_text(self, *, colour: bool = False) -> str:
        """Every problem with its line and a caret, file by file, and a line that sums up."""
        shown = [
            render.as_text(file.problems, file.source_text, file.file, colour=colour)
            for file in self.files
            if file.problems
        ]
        counted = render.summary([(file.file, file.problems) for file in self.files])
        codes = [problem.code for file in self.files for problem in file.problems]
        more = [f"More about a code: sinkside check --explain {codes[0]}"] if codes else []
        return "\n".join([*shown, counted, *more])

    def as_json(self) -> str:
        """An array with an object for each file: its name and its problems."""
        told = [
            {
                "file": file.file,
                "problems": [render.as_object(problem, file.file) for problem in file.problems],
            }
            for file in self.files
        ]
        return json.dumps(told, indent=2)


def check_files(paths: Iterable[Path]) -> Checked:
    """Check files, and the `*.yaml` of folders; what cannot be read is a problem of its own."""
    loaded: list[Loaded] = []
    for path in paths:
        try:
            loaded += [load(file) for file in files_in(path)]
        except FileTrouble as trouble:
            loaded.append(Loaded(None, (trouble.problem,), "", str(path)))
    return Checked(tuple(loaded))
