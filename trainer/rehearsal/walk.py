"""Walks: a procedure's own tests, run without a screen (`sinkside guide walks`)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from trainer import places
from trainer.procedure.load import load
from trainer.procedure.plan import Plan
from trainer.procedure.problems import Path as Where
from trainer.procedure.problems import Place, Problem, first_sentence, nearest
from trainer.procedure.text import one_line
from trainer.procedure.units import plain
from trainer.rehearsal import walk_expect
from trainer.rehearsal.walk_file import WalkFile, read_walk
from trainer.rehearsal.walk_model import Walk
from trainer.rehearsal.walk_trouble import Stumble
from trainer.rehearsal.walked_ways import Bench, Went, gone_in
from trainer.rehearsal.walker import Walker
from trainer.run.events import BenchReady, Value
from trainer.run.ports import Trouble
from trainer.run.session import Refused

Measures = Mapping[str, Value] | None
"""Of a plate, by name; None where there is none."""


@dataclass(frozen=True, slots=True)
class WalkResult:
    """What came of a walk. `findings`: problems of the file, or where it did not go as written.

    name: what the walk shows, in its author's words. source_text: for showing the lines of findings.
    plate: of a rehearsal, the measures of its plate as it stands at the end. went: through what it went.
    """

    file: str
    name: str
    passed: bool
    findings: tuple[Problem, ...]
    source_text: str = ""
    plate: Measures = None
    went: Went | None = None

    def lines(self) -> tuple[str, ...]:
        """Each finding as `file:line:column: what is wrong. What to do.`"""
        return tuple(
            f"{one_line(self.file)}:{found.place.line}:{found.place.column}: {found.message} {found.help}"
            for found in self.findings
        )


def run_walk(path: Path) -> WalkResult:
    """Read a walk file and do it. Never raises for anything that the file or its procedure says."""
    read = read_walk(path)
    findings = list(read.problems)
    name = read.walk.name if read.walk else ""
    done = _Done([])
    if read.walk is not None:
        done = _done(path, read, read.walk)
        findings += done.findings
    passed = not any(found.severity == "error" for found in findings)
    return WalkResult(str(path), name, passed, tuple(findings), read.tree.text, done.plate, done.went)


def walk_files(path: Path) -> list[Path]:
    """A file: itself. A folder: the walks in it, by name; other YAML files in it are left alone."""
    if not path.is_dir():
        return [path]
    return [file for file in sorted(path.rglob("*.yaml")) if _is_walk(file)]


def _is_walk(file: Path) -> bool:
    """Has it the key `walk` at the top? What cannot be read is looked at, so that somebody hears of it."""
    try:
        lines = file.read_bytes()[:1_048_577].splitlines()
    except OSError:
        return True
    return any(line.startswith((b"walk:", b"\xef\xbb\xbfwalk:")) for line in lines)


class _Done(NamedTuple):
    """What came of a walk whose file is in order."""

    findings: list[Problem]
    plate: Measures = None
    went: Went | None = None


def _done(path: Path, read: WalkFile, walk: Walk) -> _Done:
    found = procedure_of(path, walk.procedure)
    if found is None:
        return _Done([_no_procedure(read, walk.procedure, path)])
    loaded = load(found)
    if loaded.plan is None:
        stumble = Stumble(
            "W05",
            f"The procedure cannot be used. {first_sentence(loaded.problems, loaded.file)}",
            f"Run `sinkside check {found}`.",
        )
        return _Done([_problem(read, ("procedure",), stumble)])
    settings, wrong = _settings(read, walk, loaded.plan)
    if wrong:
        return _Done(wrong)
    findings, walker = _walked(read, walk, loaded.plan, settings)
    if walker is None:
        return _Done(findings)
    went = Went(str(found.resolve()), loaded.plan, gone_in(loaded.plan, walker.events, _bench_anew(walker)))
    return _Done(findings, None if walker.rehearsal is None else walker.rehearsal.measures(), went)


def _bench_anew(walker: Walker) -> Bench | None:
    """The bench of a walk's rehearsal as it was made ready; None in a wet run."""
    rehearsal = walker.rehearsal
    if rehearsal is None:
        return None
    from trainer.rehearsal.bench_measures import Measuring  # the bench: only where there is one
    from trainer.rehearsal.standing import Standing

    ready = next(event.body for event in walker.events if isinstance(event.body, BenchReady))
    return Standing(rehearsal.kit, ready, Measuring(rehearsal.kit, rehearsal.wanted))


def procedure_of(path: Path, procedure: str) -> Path | None:
    """The procedure that a walk names: near the walk file first, then among those that ship."""
    if places.find_procedure(procedure) is None and not _is_id(procedure):
        return None
    name = f"{procedure}.yaml"
    for folder in _near(path):
        if (folder / name).is_file():
            return folder / name
    return places.find_procedure(procedure)


def _near(path: Path) -> tuple[Path, ...]:
    """Where the procedure of a walk is looked for first."""
    here = path.resolve().parent
    return here, here.parent, here / "procedures", here.parent / "procedures"


def _is_id(text: str) -> bool:
    from trainer.procedure.names import IDENT

    return IDENT.fullmatch(text) is not None


def _no_procedure(read: WalkFile, procedure: str, path: Path) -> Problem:
    folders = (*_near(path), places.procedures_dir())
    names = (file.stem for folder in folders for file in folder.glob("*.yaml") if file.name != path.name)
    near = nearest(procedure, filter(_is_id, names))
    help_ = (
        f"Write `procedure: {near}`, if that is meant."
        if near
        else "Put the walk beside the procedure's file."
    )
    stumble = Stumble("W05", f"There is no procedure `{procedure[:60]}` here.", help_)
    return _problem(read, ("procedure",), stumble)


def _settings(read: WalkFile, walk: Walk, plan: Plan) -> tuple[dict[str, float], list[Problem]]:
    """The settings of the run: the procedure's, with the walk's over them."""
    declared = plan.procedure.settings
    values = {name: float(setting.value) for name, setting in declared.items()}
    wrong: list[Problem] = []
    for name, value in walk.settings.items():
        if name not in declared:
            near = nearest(name, declared)
            help_ = (
                f"Write `{near}`, if that is meant." if near else f"Known: {', '.join(declared) or 'none'}."
            )
            stumble = Stumble("W07", f"The procedure has no setting `{name[:60]}`.", help_)
            wrong.append(_problem(read, ("settings", name), stumble, on_key=True))
            continue
        least, most = declared[name].between
        if not least <= value <= most:
            said = f"`{name}` lies between {plain(least)} and {plain(most)}."
            stumble = Stumble("W07", said, f"Write a number between them, or change `between` of `{name}`.")
            wrong.append(_problem(read, ("settings", name), stumble))
        values[name] = value
    return values, wrong


def _walked(
    read: WalkFile, walk: Walk, plan: Plan, settings: dict[str, float]
) -> tuple[list[Problem], Walker | None]:
    """Do every act, then look at every expectation. The first act that fails ends the walk."""
    try:
        conditions_fit(walk)
    except ValueError as told:
        help_ = "`sinkside guide walks` lists the conditions."
        return [_problem(read, ("conditions",), Stumble("W03", str(told), help_))], None
    try:
        walker = Walker.start(walk, plan, settings)
    except (Refused, Trouble) as trouble:
        stumble = Stumble(
            "W15", f"The run cannot be opened: {trouble}", "Look at the procedure's first step."
        )
        return [_problem(read, ("procedure",), stumble)], None
    for placed in walk.acts:
        try:
            walker.do(placed)
        except Stumble as stumble:
            return [_problem(read, stumble.inside or placed.path, stumble)], walker
    findings: list[Problem] = []
    for one in walk.expected:
        try:
            walk_expect.check(walker, one)
        except Stumble as stumble:
            findings.append(_problem(read, stumble.inside or one.path, stumble))
    return findings, walker


def conditions_fit(walk: Walk) -> None:
    """Raises ValueError, with a sentence, where the bench has no such day."""
    if walk.conditions:
        from trainer.bench.conditions import given  # NumPy, which a wet walk does not need

        given(walk.conditions)


def _problem(read: WalkFile, path: Where, stumble: Stumble, *, on_key: bool = False) -> Problem:
    place: Place = read.tree.key(path) if on_key else read.tree.place(path)
    return Problem(stumble.code, "error", stumble.message, stumble.help, place, path)


def all_files(paths: Iterable[Path]) -> list[Path]:
    """The walk files of several files and folders, each once."""
    return list(dict.fromkeys(file for path in paths for file in walk_files(path)))
