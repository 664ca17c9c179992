"""Several procedure files checked at once, as text for people and as JSON or SARIF for programs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.procedure import render
from trainer.procedure.files import FileTrouble, nothing_in
from trainer.procedure.load import Loaded, files_in, load, load_as
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.procedure.fixes import Fix

CLEAN, PROBLEMS, UNREADABLE = 0, 1, 2
"""Exit codes: clean or warnings only, problems, could not be read."""

_ANOTHER = "S31"
"""The code of a walk and of a shop file: among a folder's files, nothing to complain of."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found in each file, in the order given; `mended`: by file, what was mended before.

    `left_out`: files of folders that are walks or shop files, and so no procedures.
    """

    files: tuple[Loaded, ...]
    mended: Mapping[str, Sequence[Fix]] = field(default_factory=dict)
    left_out: tuple[Path, ...] = ()

    @property
    def exit_code(self) -> int:
        """The worst of CLEAN, PROBLEMS and UNREADABLE."""
        errors = [problem for file in self.files for problem in file.problems if problem.severity == "error"]
        if any(problem.code.startswith("F") for problem in errors):
            return UNREADABLE
        return PROBLEMS if errors else CLEAN

    def as_text(self, *, colour: bool = False) -> str:
        """What was mended, every problem with its line and a caret, and a line that sums up."""
        mended = [
            f"{one_line(file)}:{fix.place.line}:{fix.place.column}: mended {fix.code}: {one_line(fix.said)}"
            for file, fixes in self.mended.items()
            for fix in fixes
        ]
        shown = [
            render.as_text(file.problems, file.source_text, file.file, colour=colour)
            for file in self.files
            if file.problems
        ]
        counted = render.summary([(file.file, file.problems) for file in self.files])
        found = [problem for file in self.files for problem in file.problems]
        worst = [*(one for one in found if one.severity == "error"), *found]
        more = [f"More about a code: sinkside check --explain {worst[0].code}"] if worst else []
        blocks = "\n\n".join([*(["\n".join(mended)] if mended else []), *shown])
        return "\n".join([*([blocks] if blocks else []), counted, *self._others(), *more])

    def _others(self) -> list[str]:
        """A line on what was left out."""
        if not self.left_out:
            return []
        one = "1 file is a walk or a shop file and was"
        many = f"{len(self.left_out)} files are walks or shop files and were"
        return [f"{one if len(self.left_out) == 1 else many} left out: `sinkside walk` looks at walks."]

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
    left_out: list[Path] = []
    for path in paths:
        try:
            found = files_in(path)
        except FileTrouble as trouble:
            loaded[path] = Loaded(None, (trouble.problem,), "", str(path))
            continue
        others: list[Path] = []
        for file in found:
            if file in loaded:
                continue
            try:
                mended[str(file)] = _mended(file) if mend else ()
                one = load(file)
            except FileTrouble as trouble:
                one = Loaded(None, (trouble.problem,), "", str(file))
            if file != path and [problem.code for problem in one.problems] == [_ANOTHER]:
                others.append(file)
            else:
                loaded[file] = one
        if others == found:
            loaded[path] = Loaded(None, (nothing_in(path, "procedure").problem,), "", str(path))
        left_out.extend(others)
    return Checked(tuple(loaded.values()), mended, tuple(dict.fromkeys(left_out)))


def check_source(source: bytes, stands_for: Path) -> Checked:
    """Check a file that is not saved yet, as if it were the one it stands for."""
    return Checked((load_as(source, stands_for),))


def _as_object(fix: Fix) -> dict[str, object]:
    place = {"line": fix.place.line, "column": fix.place.column}
    return {"code": fix.code, "place": place, "was": one_line(fix.was), "is": one_line(fix.written)}


def _mended(file: Path) -> Sequence[Fix]:
    from trainer.procedure.fixing import mend_file  # only where it is asked for

    return mend_file(file).fixes
