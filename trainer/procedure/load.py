"""From a procedure file to a plan: reads it, checks all of it, and says everything that is wrong at once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from trainer.garbage import held_back
from trainer.procedure.files import FileTrouble, read_bytes
from trainer.procedure.model import Procedure, Stage, Step
from trainer.procedure.plan import Plan, Way
from trainer.procedure.problems import Problem, ProcedureProblems, in_order
from trainer.procedure.reader import Tree, read_tree


@dataclass(frozen=True, slots=True)
class Loaded:
    """What came of a file. `plan` is None exactly where an error was found; warnings may stand beside a plan.

    `source_text` is the text of the file, safe to show, for excerpts.
    """

    plan: Plan | None
    problems: tuple[Problem, ...]
    source_text: str
    file: str

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that keep the file from being used."""
        return tuple(problem for problem in self.problems if problem.severity == "error")

    def require(self) -> Plan:
        """The plan. Raises ProcedureProblems where there is none."""
        if self.plan is None:
            raise ProcedureProblems(self.problems, self.file)
        return self.plan


def load(path: Path) -> Loaded:
    """Read and check a procedure file, its pictures too. Never raises: what is wrong is in `problems`."""
    file = str(path)
    try:
        source = read_bytes(path)
    except FileTrouble as trouble:
        return Loaded(None, (trouble.problem,), "", file)
    return _loaded(source, file, path)


def load_bytes(source: bytes, file: str) -> Loaded:
    """The same for bytes, for instance those kept in a record. Pictures are not looked for.

    `file` is named in messages; where it ends in `.yaml`, the id must fit it.
    """
    return _loaded(source, file, None)


def load_as(source: bytes, path: Path) -> Loaded:
    """The same for bytes that stand for the file at `path`: its pictures are looked for beside it."""
    return _loaded(source, str(path), path)


def files_in(path: Path) -> list[Path]:
    """The procedure files that `path` means: itself, or every `*.yaml` in a folder and below, sorted.

    Raises FileTrouble where there is nothing, nothing to read, or no such file in the folder.
    """
    from trainer.procedure.files import yaml_files

    return yaml_files(path)


def _loaded(source: bytes, file: str, path: Path | None) -> Loaded:
    with held_back():
        return _read(source, file, path)


def _read(source: bytes, file: str, path: Path | None) -> Loaded:
    tree = read_tree(source, file)
    found = list(tree.problems)
    plan: Plan | None = None
    if tree.complete:
        from trainer.procedure.shapes import check_shape

        procedure, wrong = check_shape(tree, file)
        found.extend(wrong)
        if procedure is not None:
            plan = _planned(procedure, tree, source, found)
            if path is not None:
                from trainer.procedure.pictures import problems_of

                found.extend(problems_of(tree, path))
    problems = _without_echoes(found)
    if any(problem.severity == "error" for problem in problems):
        plan = None
    return Loaded(plan, problems, tree.text, file)


def _planned(procedure: Procedure, tree: Tree, source: bytes, found: list[Problem]) -> Plan | None:
    """The plan of a procedure whose shape is right; what the checks find is added to `found`."""
    from trainer.procedure import checks, checks_languages, checks_unwritten, graph

    expressions, ways, wrong = checks.compile_all(procedure, tree)
    found.extend(wrong)
    between = checks.check_graph(procedure, tree, expressions, ways)
    if wrong:  # what only a broken formula uses looks unused
        between = tuple(problem for problem in between if problem.severity == "error")
    found.extend(between)
    found.extend(checks_unwritten.problems_of(tree))
    if any(problem.severity == "error" for problem in found):
        return None
    found.extend(checks_languages.problems_of(tree))
    steps: dict[str, Step] = {}
    stage_of: dict[str, Stage] = {}
    for stage in procedure.stages:
        for step in stage.steps:
            steps[step.id] = step
            stage_of[step.id] = stage
    made: Mapping[str, tuple[Way, ...]] = ways
    return Plan(
        procedure=procedure,
        source=source,
        content_hash=hashlib.sha256(source).hexdigest(),
        steps=steps,
        stage_of=stage_of,
        next_of=graph.next_of(procedure),
        ways=made,
        expressions=expressions,
        covered_by=graph.covered_by(procedure),
    )


def _without_echoes(found: list[Problem]) -> tuple[Problem, ...]:
    """In order, and without the warning on a value that is an error anyway."""
    blamed = {problem.path for problem in found if problem.severity == "error" and problem.path}
    return in_order(
        problem
        for problem in found
        if problem.severity == "error" or problem.path not in blamed or not problem.path
    )
