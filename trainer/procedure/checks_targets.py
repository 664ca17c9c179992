"""Ids and names that point at something: what they name must be there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from trainer.procedure.checks_report import Report
from trainer.procedure.graph import DONE, ENDS, Placed, placed_steps
from trainer.procedure.model import Procedure
from trainer.procedure.problems import Path, nearest
from trainer.procedure.quantity import Quantity


def check_targets(procedure: Procedure, report: Report) -> None:
    """Targets of ways, covered steps, signed steps, skills, settings, and where new plates begin."""
    placed = placed_steps(procedure)
    known = dict.fromkeys(one.step.id for one in placed)
    stages = {stage.id: stage.steps[0].id for stage in procedure.stages}
    for one in placed:
        _check_ways(one, known, stages, report)
        _check_named_steps(one, known, stages, report)
        _check_declared(one, procedure, report)
    if placed[0].step.aside:
        report.error_at_key(
            "G23",
            (*placed[0].path, "aside"),
            "The first step of the file is an aside, and the work begins at the first step.",
            "Take `aside: true` out, or put another step before it.",
        )
    _check_new_plates(procedure, placed, report)


_TO_THE_END = frozenset({"end", "the-end", "finish", "finished", "exit", "quit", "ready", "complete"})
_ON = frozenset({"next", "next-step", "continue", "go-on"})


def _instead(target: str, known: Iterable[str], stages: Mapping[str, str], otherwise: str) -> str:
    """What to write where no step has the id: the first step of a stage, an end, or the nearest id."""
    if target in stages:
        return f"`{target}` is a stage. Its first step is `{stages[target]}`: write the step that is meant."
    if DONE in known and target in _TO_THE_END:
        return f"Write `{DONE}` where the work ends."
    if DONE in known and target in _ON:
        return "Write the id of a step. Without a `then` the work goes on at the next step by itself."
    near = nearest(target, known)
    return f"Did you mean `{near}`?" if near else otherwise


def _check_ways(one: Placed, known: Iterable[str], stages: Mapping[str, str], report: Report) -> None:
    targets: list[tuple[Path, str]] = [
        ((*one.path, "go", number, "to"), way.to) for number, way in enumerate(one.step.go)
    ]
    if one.step.then is not None:
        targets.append(((*one.path, "then"), one.step.then))
    for path, target in targets:
        if target not in known and target not in ENDS:
            otherwise = "Write the id of a step of this file, `done` or `stop`."
            help_ = _instead(target, [*known, *ENDS], stages, otherwise)
            report.error("G01", path, f"No step has the id `{target}`.", help_)


def _check_named_steps(one: Placed, known: Iterable[str], stages: Mapping[str, str], report: Report) -> None:
    step = one.step
    named: list[tuple[Path, str]] = []
    if step.hazard is not None:
        named += [((*one.path, "hazard", "covers", at), to) for at, to in enumerate(step.hazard.covers)]
    if step.sign_off is not None:
        named.append(((*one.path, "sign_off", "of"), step.sign_off.of))
    for path, target in named:
        if target not in known:
            help_ = _instead(target, known, stages, "Write the id of a step of this file.")
            report.error("G02", path, f"No step has the id `{target}`.", help_)
        elif step.hazard is not None and target == step.id:
            report.error(
                "G02",
                path,
                "The safety prompt covers itself.",
                "Write the step that it must come before.",
            )


def _check_declared(one: Placed, procedure: Procedure, report: Report) -> None:
    step = one.step
    if step.skill is not None and step.skill not in procedure.skills:
        near = nearest(step.skill, procedure.skills)
        report.error(
            "G04",
            (*one.path, "skill"),
            f"No skill is called `{step.skill}`.",
            f"Did you mean `{near}`?"
            if near
            else f"Declare it at the top of the file: `skills: {{{step.skill}: ...}}`.",
        )
    if step.offer_setting is not None:
        _check_setting(step.offer_setting.setting, (*one.path, "offer_setting", "setting"), procedure, report)
    if step.wait is not None:
        for key, amount in amounts(one):
            if not isinstance(amount, Quantity) and amount.startswith("settings."):
                _check_setting(amount.removeprefix("settings."), (*one.path, "wait", key), procedure, report)


def amounts(one: Placed) -> list[tuple[str, Quantity | str]]:
    """The amounts of a step's wait, each with its key."""
    wait = one.step.wait
    if wait is None:
        return []
    found = (("for", wait.for_), ("at_least", wait.at_least), ("at_most", wait.at_most), ("dose", wait.dose))
    return [(key, amount) for key, amount in found if amount is not None]


def _check_setting(name: str, path: Path, procedure: Procedure, report: Report) -> None:
    if name in procedure.settings:
        return
    near = nearest(name, procedure.settings)
    report.error(
        "G05",
        path,
        f"No setting is called `{name}`.",
        f"Did you mean `{near}`?" if near else f"Declare it at the top, under settings: `{name}: ...`.",
    )


def _check_new_plates(procedure: Procedure, placed: tuple[Placed, ...], report: Report) -> None:
    stage_of = {one.step.id: one.number for one in placed}
    for number, stage in enumerate(procedure.stages):
        target = stage.new_plate_from
        if target is None:
            continue
        path = ("stages", number, "new_plate_from")
        if target not in stage_of:
            near = nearest(target, stage_of)
            report.error(
                "G03",
                path,
                f"No step has the id `{target}`.",
                f"Did you mean `{near}`?" if near else "Write the step where the next plate is taken.",
            )
        elif stage_of[target] > number:
            report.error(
                "G03",
                path,
                f"`{target}` comes in a later stage; a new plate begins at a step that was already done.",
                "Write the step where the next plate is taken, in this stage or an earlier one.",
            )
