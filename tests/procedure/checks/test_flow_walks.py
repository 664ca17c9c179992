"""What the checks promise about a procedure, held against runs through it.

Random small procedures are walked at random by the rules of a run: a spoiled plate gives back what was taken
since `new_plate_from` was first shown, save what keeps, and every accepted safety prompt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.procedure.checks import Compiled, check_graph, compile_all
from trainer.procedure.flow import facts, flow_of
from trainer.procedure.graph import ENDS, edges, next_of, stage_of, steps_of
from trainer.procedure.model import Procedure
from trainer.procedure.reader import Tree, read_tree
from trainer.procedure.scope import declared_by, scope_of
from trainer.procedure.shapes import check_shape
from trainer.procedure.subset import parse

patient = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
"""A busy machine is no failure."""

HEAD = "format: 1\nid: walked\ntitle: Walked\nrevision: 1\nsummary: Invented for the tests.\nstages:\n"


@dataclass(frozen=True)
class Drawn:
    """A random procedure, its tree, and its formulas."""

    procedure: Procedure
    tree: Tree
    compiled: Compiled


@st.composite
def procedures(draw: st.DrawFn, *, plates: bool = True, guards: bool = True) -> Drawn:
    """Up to seven steps in one or two stages: readings, safety prompts, plain acts; ways to anywhere."""
    count = draw(st.integers(2, 7))
    names = [f"s{number}" for number in range(count)]
    taken = [number for number in range(count) if draw(st.booleans())]
    conditions = ["tries('s0') > 1"]
    if guards and taken:
        conditions += [f"{no}taken('readings.r{number}')" for number in taken for no in ("", "!")]
    cut = draw(st.integers(1, count))
    text = HEAD
    for stage, members in enumerate((range(cut), range(cut, count))):
        if not members:
            continue
        text += f"  - id: stage{stage}\n    title: Stage\n"
        if plates and draw(st.booleans()):
            text += f"    new_plate_from: {draw(st.sampled_from(names[: members[-1] + 1]))}\n"
        text += "    steps:\n"
        for number in members:
            text += f"      - id: s{number}\n        do: Act.\n{_task(draw, number, names, taken)}"
            way = st.tuples(st.sampled_from(conditions), st.sampled_from([*names, "done"]))
            ways = draw(st.lists(way, max_size=2))
            if ways:
                text += "        go:\n"
            text += "".join(f'          - {{when: "{when}", to: {to}}}\n' for when, to in ways)
            if draw(st.booleans()):
                text += f"        then: {draw(st.sampled_from([*names, 'done']))}\n"
    tree = read_tree(text.encode(), "walked.yaml")
    procedure, wrong = check_shape(tree, "walked.yaml")
    assert procedure is not None, wrong
    return Drawn(procedure, tree, compile_all(procedure, tree))


def _task(draw: st.DrawFn, number: int, names: list[str], taken: list[int]) -> str:
    if number in taken:
        keeps = ", keeps: run" if draw(st.booleans()) else ""
        return (
            f"        reading: {{name: r{number}, unit: inHg, plausible: [0, 30], ok: readings.r{number} > 5,"
            f" right: 22{keeps}}}\n"
        )
    others = [name for name in names if name != f"s{number}"]
    if draw(st.booleans()):
        covered = draw(st.sampled_from(others))
        return f"        hazard: {{signal: caution, harm: Hurts., avoid: [Care], covers: [{covered}]}}\n"
    return ""


@dataclass
class Run:
    """Where a walk stands: its values as (number of the event, keeps), and what was accepted."""

    step: str
    seq: int = 0
    plate_began: int = 0
    values: dict[str, list[tuple[int, bool]]] = field(default_factory=dict)
    accepted: set[str] = field(default_factory=set)
    arrivals: dict[str, int] = field(default_factory=dict)


def walked(drawn: Drawn, data: st.DataObject, length: int = 25) -> Iterator[Run]:
    """The run at each step that is shown, before it is finished or the plate is spoiled."""
    steps, stages = steps_of(drawn.procedure), stage_of(drawn.procedure)
    run = Run(next(iter(steps)))
    for _ in range(length):
        if run.step in ENDS:
            return
        run.seq += 1
        run.arrivals.setdefault(run.step, run.seq)
        yield run
        back_to = stages[run.step].new_plate_from
        if back_to is not None and data.draw(st.integers(0, 3)) == 0:
            _spoil(run, back_to)
        else:
            _finish(drawn, run, data)


def _spoil(run: Run, back_to: str) -> None:
    run.seq += 1
    cut = run.arrivals.get(back_to, run.plate_began)
    kept = {name: [one for one in taken if one[1] or one[0] < cut] for name, taken in run.values.items()}
    run.values = {name: taken for name, taken in kept.items() if taken}
    run.arrivals = {step: seq for step, seq in run.arrivals.items() if seq < cut}
    run.accepted.clear()
    run.plate_began, run.step = run.seq, back_to


def _finish(drawn: Drawn, run: Run, data: st.DataObject) -> None:
    step = steps_of(drawn.procedure)[run.step]
    run.seq += 1
    declared = declared_by(step)
    if declared is not None:
        run.values.setdefault(declared.name, []).append((run.seq, declared.keeps))
    if step.hazard is not None:
        run.accepted.add(step.id)
    for way in drawn.compiled.ways[step.id]:
        if _holds(way.when.text, run, data):
            run.step = way.to
            return
    again = step.reading is not None and data.draw(st.booleans())
    run.step = step.id if again else next_of(drawn.procedure)[step.id]


def _holds(condition: str, run: Run, data: st.DataObject) -> bool:
    """Conditions on `taken` come out as they are; the others any way."""
    if "taken" not in condition:
        return data.draw(st.booleans())
    name = condition.split("'")[1]
    return (name in run.values) is not condition.startswith("!")


@given(procedures(), st.data())
@patient
def test_a_value_that_is_promised_is_taken_in_every_run(drawn: Drawn, data: st.DataObject) -> None:
    """At each step of a random run, all that the data flow calls surely taken is there."""
    flow = flow_of(
        drawn.procedure, scope_of(drawn.procedure), drawn.compiled.expressions, drawn.compiled.ways
    )
    for run in walked(drawn, data):
        promised = {name for name in flow.shown[run.step] if name.startswith("readings.")}
        assert promised <= set(run.values), run.step


@given(procedures(plates=False, guards=False))
@patient
def test_without_plates_and_guards_nothing_more_could_be_promised(drawn: Drawn) -> None:
    """What is surely taken is exactly what every way takes: all states of the graph are gone through."""
    graph, steps = edges(drawn.procedure), steps_of(drawn.procedure)
    first = next(iter(steps))
    waiting = [(first, frozenset[str]())]
    seen = set(waiting)
    while waiting:
        step, have = waiting.pop()
        declared = declared_by(steps[step])
        have |= frozenset({declared.name}) if declared is not None else frozenset()
        for state in ((target, have) for target in graph[step] if target not in ENDS):
            if state not in seen:
                seen.add(state)
                waiting.append(state)
    flow = flow_of(
        drawn.procedure, scope_of(drawn.procedure), drawn.compiled.expressions, drawn.compiled.ways
    )
    for step, promised in flow.shown.items():
        states = [have for name, have in seen if name == step]
        assert {name for name in promised if name.startswith("readings.")} == set.intersection(
            *map(set, states)
        )


@given(procedures(), st.data())
@patient
def test_no_run_goes_round_a_safety_prompt_that_passed_the_checks(drawn: Drawn, data: st.DataObject) -> None:
    """Where no problem is told of a safety prompt, no random run shows what it covers without it."""
    problems = check_graph(drawn.procedure, drawn.tree, drawn.compiled.expressions, drawn.compiled.ways)
    told = {one.path[:4] for one in problems if one.code in ("G11", "G13", "G06", "G09")}
    covers: dict[str, set[str]] = {}
    for number, stage in enumerate(drawn.procedure.stages):
        for place, step in enumerate(stage.steps):
            if step.hazard is not None and ("stages", number, "steps", place) not in told:
                for covered in step.hazard.covers:
                    covers.setdefault(covered, set()).add(step.id)
    for run in walked(drawn, data):
        assert covers.get(run.step, set()) <= run.accepted, run.step


@given(procedures())
@patient
def test_every_way_round_that_is_told_is_a_way(drawn: Drawn) -> None:
    """The way round that a message prints is made of single moves of the graph, past the prompt it names."""
    problems = check_graph(drawn.procedure, drawn.tree, drawn.compiled.expressions, drawn.compiled.ways)
    graph = edges(drawn.procedure)
    for one in problems:
        if one.code in ("G11", "G13"):
            way = one.message.rpartition(": ")[2].rstrip(".").split(" > ")
            hazard = one.message.split("`")[3]
            assert hazard not in way
            assert all(after in graph[before] for before, after in pairwise(way))


def test_both_sides_of_a_guard_are_understood() -> None:
    """`taken` and `!taken` say something only where they came out true and false; joined, what both say."""
    guard = parse("taken('a') && !taken('b') || taken('a')")
    assert facts(guard, truth=True) == {"a"}
    assert facts(guard, truth=False) == frozenset()
    assert facts(parse("!taken('a') || !taken('b')"), truth=False) == {"a", "b"}
    assert facts(parse("!(taken('a') && taken('b'))"), truth=False) == {"a", "b"}
