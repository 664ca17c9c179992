"""Several procedure files checked at once, as text for people and as JSON or SARIF for programs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.procedure import render
from trainer.procedure.files import FileTrouble
from trainer.procedure.load import Loaded, files_in, load, load_as
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.procedure.fixes import Fix

CLEAN, PROBLEMS, UNREADABLE = 0, 1, 2
"""Exit codes: clean or warnings only, problems, could not be read."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found in each file, in the order given; `mended`: by file, what was mended before."""

    files: tuple[Loaded, ...]
    mended: Mapping[str, Sequence[Fix]] = field(default_factory=dict)

    @property
    def exit_code(self) -> int:
        """The worst of CLEAN, PROBLEMS and UNREADABLE."""
        errors = [problem for file in self.files for problem in file.problems if problem.severity == "error"]
        if any(problem.code.startswith("F") for problem in errors):
            return UNREADABLE
        return PROBLEMS if errors else CLEAN

    def as_text(self, *, colour: bool = False) -> str:
        """What was mended, every problem with its line and a caret, and a line that sums up."""
        shown = [
            f"{one_line(file)}:{fix.place.line}:{fix.place.column}: mended {fix.code}: {one_line(fix.said)}"
            for file, fixes in self.mended.items()
            for fix in fixes
        ]
        shown += [
            render.as_text(file.problems, file.source_text, file.file, colour=colour)
            for file in self.files
            if file.problems
        ]
        counted = render.summary([(file.file, file.problems) for file in self.files])
        codes = [problem.code for file in self.files for problem in file.problems]
        more = [f"More about a code: sinkside check --explain {codes[0]}"] if codes else []
        return "\n".join([*shown, counted, *more])

    def as_json(self) -> str:
        """An array with an object for each file: its name, its problems, and what was mended."""
        told = [
            {
                "file": file.file.encode("utf-8", "replace").decode(),
                "problems": [render.as_object(problem, file.file) for problem in file.problems],
                "mended": [_as_object(fix) for fix in self.mended.get(file.file, ())],
            }
            for file in self.files
        ]
        return json.dumps(told, indent=2)

    def as_sarif(self, codes: Path, version: str) -> str:
        """A SARIF log. `codes`: the folder of the pages of codes; `version` of the program."""
        from trainer.procedure.explain import pages  # with what only this form of output needs
        from trainer.procedure.sarif import as_sarif

        return as_sarif(self.files, pages(codes), version, self.exit_code)


def check_files(paths: Iterable[Path], *, mend: bool = False) -> Checked:
    """Check files, and the `*.yaml` of folders, each once; what cannot be read is a problem of its own.

    `mend`: before that, mend what is safe to mend (see `fixing`), in the files themselves.
    """
    loaded: dict[Path, Loaded] = {}
    mended: dict[str, Sequence[Fix]] = {}
    for path in paths:
        try:
            found = files_in(path)
        except FileTrouble as trouble:
            loaded[path] = Loaded(None, (trouble.problem,), "", str(path))
            continue
        for file in found:
            if file in loaded:
                continue
            try:
                mended[str(file)] = _mended(file) if mend else ()
                loaded[file] = load(file)
            except FileTrouble as trouble:
                loaded[file] = Loaded(None, (trouble.problem,), "", str(file))
    return Checked(tuple(loaded.values()), mended)


def check_source(source: bytes, stands_for: Path) -> Checked:
    """Check a file that is not saved yet, as if it were the one it stands for."""
    return Checked((load_as(source, stands_for),))


def _as_object(fix: Fix) -> dict[str, object]:
    place = {"line": fix.place.line, "column": fix.place.column}
    return {"code": fix.code, "place": place, "was": one_line(fix.was), "is": one_line(fix.written)}


def _mended(file: Path) -> Sequence[Fix]:
    from trainer.procedure.fixing import mend_file  # only where it is asked for

    return mend_file(file).fixes
