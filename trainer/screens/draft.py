"""A procedure file while it is written: what can be shown, where the author is, what is wrong where.

No screen and no clock: the file's text goes in, the view of a step comes out, made by the run's own views.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from trainer.procedure import graph
from trainer.procedure.load import load
from trainer.procedure.model import Procedure
from trainer.procedure.plan import ENDS, Plan
from trainer.procedure.problems import Problem
from trainer.procedure.reader import read_tree
from trainer.procedure.shapes import check_shape
from trainer.run import views
from trainer.run.events import Guidance, Stamp
from trainer.run.facts import Facts
from trainer.run.state import NewSetting, Passed, State, Taken
from trainer.run.view import RunView

NOW = Stamp(at="2026-01-01T00:00:00.000Z", boot="preview", ticks_ms=0)
"""A moment that stands still: no wait runs here."""
ROOM = "preview"


@dataclass(frozen=True, slots=True)
class Draft:
    """What was read of a file at one moment.

    plan: for showing only, with formulas only where the file is free of errors; None where nothing can be
    shown. problems: by the step they belong to, under "" those of no step. kept: no error in the file.
    """

    plan: Plan | None
    problems: Mapping[str, tuple[Problem, ...]]
    kept: bool

    @property
    def found(self) -> tuple[Problem, ...]:
        """All of the file's problems and warnings."""
        return tuple(problem for some in self.problems.values() for problem in some)


def read_draft(file: Path) -> Draft:
    """Read a file as it stands. Never raises: what is wrong is in `problems`."""
    found = load(file)
    source = found.source_text.encode("utf-8", "replace")
    if found.plan is not None:
        return Draft(found.plan, _by_step(found.problems, found.plan.procedure), kept=True)
    tree = read_tree(source, str(file))
    procedure = check_shape(tree, str(file))[0] if tree.complete else None
    plan = _showable(procedure, source) if procedure is not None else None
    named = plan.procedure if plan is not None else None
    return Draft(plan, _by_step(found.problems, named), kept=False)


def _showable(procedure: Procedure, source: bytes) -> Plan | None:
    """As much of a plan as showing asks for; None where two steps share an id."""
    steps = graph.steps_of(procedure)
    if len(steps) != len(graph.placed_steps(procedure)):
        return None
    following = {
        name: to if to in steps or to in ENDS else "done" for name, to in graph.next_of(procedure).items()
    }
    return Plan(
        procedure=procedure,
        source=source,
        content_hash=hashlib.sha256(source).hexdigest(),
        steps=steps,
        stage_of=graph.stage_of(procedure),
        next_of=following,
        ways=dict.fromkeys(steps, ()),
        expressions={},
        covered_by=graph.covered_by(procedure),
    )


def _by_step(problems: tuple[Problem, ...], procedure: Procedure | None) -> dict[str, tuple[Problem, ...]]:
    found: dict[str, tuple[Problem, ...]] = {}
    for problem in problems:
        name = _step_at(problem, procedure)
        found[name] = (*found.get(name, ()), problem)
    return found


def _step_at(problem: Problem, procedure: Procedure | None) -> str:
    """The step that a problem's path leads into, or ""."""
    match problem.path:
        case ("stages", int(stage), "steps", int(step), *_) if procedure is not None:
            stages = procedure.stages
            if stage < len(stages) and step < len(stages[stage].steps):
                return stages[stage].steps[step].id
    return ""


class Preview:
    """Where the author is in the file: kept by the step's id, else at the nearest step before."""

    def __init__(self, file: Path, guidance: Guidance = "full", language: str = "en") -> None:
        self.file = file
        self.guidance = guidance
        self.language = language
        self.draft = read_draft(file)
        self.plan = self.draft.plan
        self.step = self.plan.first if self.plan is not None else ""
        self._wanted = self.step
        self._way: list[str] = []

    def read_again(self) -> bool:
        """Read the file anew; the last that could be shown stays. Returns whether anything is different."""
        draft = read_draft(self.file)
        if draft == self.draft:
            return False
        self.draft = draft
        if draft.plan is None:
            return True
        before = list(self.plan.steps) if self.plan is not None else []
        self.plan = draft.plan
        self.step = self._nearest(before)
        self._way = [name for name in self._way if name in self.plan.steps]
        return True

    def _nearest(self, before: list[str]) -> str:
        """The step that was looked at; while it is gone, the nearest before it that is still there."""
        if self.plan is None:
            return ""
        now = self.plan.steps
        for name in (self._wanted, self.step):
            if name in now:
                return name
        ahead = before[: before.index(self.step)] if self.step in before else []
        return next((name for name in reversed(ahead) if name in now), self.plan.first)

    @property
    def older(self) -> bool:
        """Whether what is shown is older than the file, since that cannot be shown."""
        return self.draft.plan is None

    @property
    def here(self) -> tuple[Problem, ...]:
        """What is wrong with the step that is shown, warnings last; where that is older, with the whole file.

        What belongs to no step (the summary, a setting) stands with the first one.
        """
        here = self.draft.found if self.older else self._wrong_at(self.step)
        return tuple(sorted(here, key=lambda problem: problem.severity == "warning"))

    def _wrong_at(self, step: str) -> tuple[Problem, ...]:
        of_none = self.draft.problems.get("", ()) if self.plan is not None and step == self.plan.first else ()
        return (*of_none, *self.draft.problems.get(step, ()))

    def ways(self) -> list[tuple[str, str]]:
        """The conditional ways on from here: the condition in words, and the step or end it leads to."""
        if self.plan is None:
            return []
        from trainer.procedure.charts.told import Teller

        tell = Teller(self.plan.procedure, self.language)
        return [(tell.when(go.when), go.to) for go in self.plan.steps[self.step].go]

    @property
    def following(self) -> str:
        """Where the step leads when no condition holds."""
        return self.plan.next_of[self.step] if self.plan is not None else ""

    def go(self, step: str) -> bool:
        """Look at another step; False where there is none such (an end)."""
        if self.plan is None or step not in self.plan.steps:
            return False
        self._way.append(self.step)
        self.step = self._wanted = step
        return True

    def next(self) -> bool:
        """The step that comes when no condition holds."""
        return self.go(self.following)

    def back(self) -> bool:
        """The step that was looked at before; at the beginning of the way, the one before in the file."""
        if self.plan is None:
            return False
        if self._way:
            self.step = self._wanted = self._way.pop()
            return True
        order = list(self.plan.steps)
        place = order.index(self.step)
        self.step = self._wanted = order[max(0, place - 1)]
        return place > 0

    def pick(self, number: int) -> bool:
        """An answer of a judgement, counted from 1, leads where it leads; elsewhere the conditional way."""
        if self.plan is None:
            return False
        judge = self.plan.steps[self.step].judge
        if judge is None:
            ways = self.ways()
            return number <= len(ways) and self.go(ways[number - 1][1])
        keys = list(judge.answers)
        if number > len(keys):
            return False
        return self.go(self._led_to(judge.name, keys[number - 1]))

    def _led_to(self, name: str, key: str) -> str:
        """Where an answer leads, by the formulas; where they cannot be asked, by what they look like."""
        if self.plan is None:
            return ""
        step = self.plan.steps[self.step]
        if not self.plan.ways[self.step]:
            return next((go.to for go in step.go if f"'{key}'" in go.when), self.following)
        from trainer.procedure.expressions import FormulaFault

        answered = {f"answers.{name}": (Taken(key, "", 1),)}
        facts = Facts(replace(self._state(self.plan), values={**self._values(self.plan), **answered}))
        for way in self.plan.ways[self.step]:
            try:
                if way.when.truth(facts):
                    return way.to
            except FormulaFault:
                return self.following
        return self.following

    def next_stage(self) -> bool:
        """The first step of the next stage, after the last the first."""
        if self.plan is None:
            return False
        stages = self.plan.procedure.stages
        place = next(n for n, stage in enumerate(stages) if stage.id == self.plan.stage_of[self.step].id)
        return self.go(stages[(place + 1) % len(stages)].steps[0].id)

    def next_trouble(self) -> bool:
        """The next step with a problem, round and round."""
        if self.plan is None or self.older:
            return False
        order = list(self.plan.steps)
        place = order.index(self.step) + 1
        return any(self._wrong_at(name) and self.go(name) for name in (*order[place:], *order[:place]))

    def view(self) -> RunView:
        """What a trainee would see of the step."""
        if self.plan is None:
            return _nothing(self.file.stem)
        return views.view(self.plan, self._state(self.plan), NOW)

    def look_back(self, steps_back: int) -> None:
        """There is no run to look back on; `back` moves."""
        del steps_back

    def tick(self) -> tuple[str, ...]:
        """Nothing rings."""
        return ()

    def _state(self, plan: Plan) -> State:
        settings = {name: float(one.value) for name, one in plan.procedure.settings.items()}
        return State(
            run=ROOM,
            trainee="preview",
            guidance=self.guidance,
            rehearsal=False,
            language=self.language,
            job="",
            colour="",
            settings=settings,
            seq=2,
            last=NOW,
            shown=NOW,
            step=self.step,
            phase="task",
            values=self._values(plan),
            new_setting=_offered(plan, self.step),
            working=_working(plan, self.step),
            path=(Passed(self.step, 1),),
        )

    def _values(self, plan: Plan) -> dict[str, tuple[Taken, ...]]:
        """A number for each worked value, for what leans on it: a setting's of its unit, or 1."""
        found: dict[str, tuple[Taken, ...]] = {}
        for step in plan.steps.values():
            if (work := step.work_out) is not None:
                alike = [one.value for one in plan.procedure.settings.values() if one.unit == work.unit]
                found[f"worked.{work.name}"] = (Taken(float(alike[0]) if alike else 1.0, work.unit, 1),)
        return found


def _working(plan: Plan, name: str) -> str:
    work = plan.steps[name].work_out
    return f"{' '.join(work.from_.split())} (here a number to look at)" if work is not None else ""


def _offered(plan: Plan, name: str) -> NewSetting | None:
    offer = plan.steps[name].offer_setting
    setting = plan.procedure.settings.get(offer.setting) if offer is not None else None
    if offer is None or setting is None:
        return None
    most = float(setting.between[1])
    return NewSetting(offer.setting, float(setting.value), most, setting.unit, fits=True)


def _nothing(name: str) -> RunView:
    """Where nothing could be shown yet."""
    return RunView(
        run=ROOM, trainee="preview", procedure=name, title=name, guidance="full", rehearsal=False, job="",
        colour="", plate=1, stage="", stage_number=1, stages=(name,), step="", step_number=1,
        steps_in_stage=1, aside=False, act="", key_points=(), points_hidden=False, why="", picture=None,
        acts=(), notice="The file cannot be shown yet. What is wrong stands below.",
    )  # fmt: skip
