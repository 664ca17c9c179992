"""Procedures that are broken between their parts, each with its code, its line and column, and its remedy.

No source: the rules are the format's own.
"""

from __future__ import annotations

from textwrap import dedent, indent

import pytest
from broken import HAZARD, HEAD, READING, Broken, one_stage, plan_of, problems_of, told, unmarked
from broken_guards import GUARDS
from broken_tasks import NAMES, TASKS
from broken_values import HAZARDS, VALUES
from broken_ways import TARGETS, WAYS

from trainer.procedure.codes_checks import CODES

BROKEN = (*TARGETS, *WAYS, *HAZARDS, *VALUES, *NAMES, *TASKS, *GUARDS)


@pytest.mark.parametrize("broken", BROKEN, ids=[broken.name for broken in BROKEN])
def test_a_broken_procedure_is_told_at_its_place(broken: Broken) -> None:
    """The marked place has a problem of the expected code, and its words say what to write."""
    problem = told(broken)
    assert broken.words.replace("`", "") in f"{problem.message} {problem.help}".replace("`", "")
    assert problem.help


def test_every_code_of_the_checks_has_a_broken_procedure() -> None:
    """No code of the graph's checks is without an example in the tables."""
    assert {code for code in CODES if code.startswith("G")} == {
        one.code for one in BROKEN if one.code.startswith("G")
    }


def test_one_wrong_id_is_told_once() -> None:
    """A misspelt target is the only problem: the step that it means does not count as out of reach."""
    text = one_stage("""
        - id: read
          do: Look.
          go: [{when: tries('read') > 2, to: find-leek}]
        - {id: find-leak, do: Find it., aside: true, then: read}
    """)
    assert [one.code for one in problems_of(text)] == ["G01"]


def test_what_follows_from_one_slip_is_not_told_again() -> None:
    """A forgotten `aside`: the loop, one step that leads into it and one behind it, whatever their number."""
    text = one_stage("""
        - {id: one, do: First.}
        - {id: two, do: Second.}
        - id: look
          do: Look.
          go: [{when: tries('look') > 1, to: mend}]
        - {id: mend, do: Mend it., then: look}
        - {id: four, do: Fourth.}
        - {id: five, do: Fifth.}
    """)
    found = problems_of(text)
    assert [one.code for one in found] == ["G07", "G08", "G06"]
    assert "nor from 1 more" in found[0].message


def test_a_prompt_is_told_though_the_step_before_it_is_unreached() -> None:
    """A safety prompt that nothing leads to is always told itself: somebody relies on it."""
    text = one_stage(f"""
        - {{id: one, do: First., then: four}}
        - {{id: two, do: Second.}}
        - id: mind
          {HAZARD}, covers: [four]}}
        - {{id: four, do: Fourth.}}
    """)
    assert [one.message.split("`")[1] for one in problems_of(text) if one.code == "G06"] == ["two", "mind"]


def test_a_new_plate_that_begins_at_a_covered_step_begins_too_late() -> None:
    """Then no place behind its beginning is left for the prompt: only an earlier beginning helps."""
    text = one_stage(f"""
        - id: mind
          {HAZARD}, covers: [two]}}
        - {{id: two, do: Second.}}
    """).replace("    steps:\n", "    new_plate_from: two\n    steps:\n")
    (one,) = problems_of(text)
    assert (one.code, one.help) == (
        "G13",
        "Let new plates begin at `mind` or before it: `new_plate_from: mind`.",
    )


def test_warnings_leave_a_plan() -> None:
    """What is only a warning does not keep a procedure from being used."""
    for broken in BROKEN:
        if (
            broken.code in ("G10", "G17", "G19", "G26", "G27")
            or broken.name == "window-that-a-shop-can-cross"
        ):
            assert plan_of(unmarked(broken.text).text).first


SOUND = (
    one_stage(f"""
        - id: mind
          {HAZARD}, covers: [take], always: true}}
        - {{id: take, do: Take a plate.}}
    """),
    # a value on one way only, behind `taken` on every side of a guard
    one_stage(f"""
        - id: one
          do: First.
          go: [{{when: tries('one') > 1, to: two}}]
        - id: read
          do: Read it.
          {READING}
        - id: two
          do: Second.
          go:
            - {{when: "!taken('readings.vacuum')", to: one}}
            - {{when: readings.vacuum > 20, to: three}}
        - id: three
          do: Third.
          bench: {{units: readings.vacuum * 2}}
    """),
    one_stage(f"""
        - id: one
          do: First.
          go: [{{when: tries('one') > 1, to: two}}]
        - id: read
          do: Read it.
          {READING}
        - id: two
          do: Second.
          bench: {{units: "taken('readings.vacuum') ? readings.vacuum * 2 : settings.exposure"}}
          go: [{{when: "!taken('readings.vacuum') || readings.vacuum > 20", to: done}}]
    """),
    # a value that outlives its plate, and a hazard met again
    one_stage(f"""
        - id: read
          do: Read it.
          {READING.replace("}", ", keeps: run}")}
    """)
    + indent(
        dedent(f"""
            - id: plate
              title: Plate
              new_plate_from: take
              steps:
                - id: take
                  {HAZARD}, covers: [two]}}
                - {{id: two, do: Second., bench: {{units: readings.vacuum * 2}}}}
        """).lstrip(),
        "  ",
    ),
    # two steps that work out one value, whichever way was taken
    one_stage("""
        - id: one
          do: First.
          go: [{when: tries('one') > 1, to: twice}]
        - {id: once, work_out: {name: next, from: settings.exposure, unit: units, show: So.}, then: burn}
        - {id: twice, work_out: {name: next, from: settings.exposure * 2, unit: units, show: So.},
           aside: true,
           then: burn}
        - {id: burn, wait: {dose: worked.next}}
    """),
    # questions of which one has a wrong answer as long as the right one
    one_stage("""
        - id: one
          quiz: {name: one, ask: A?, choice: {a: Quite long, b: Short}, right: a, because: So.}
        - id: two
          quiz: {name: two, ask: B?, choice: {a: Short, b: Quite long}, right: b, because: So.}
        - id: three
          quiz: {name: three, ask: C?, choice: {a: Quite long, b: Even so ab}, right: b, because: So.}
    """),
    # measures of the bench where only a rehearsal looks
    one_stage("""
        - id: read
          do: Read it.
          bench: {units: "plate.number > 1 ? plate.solid_step : 24"}
          reading: {name: wedge, unit: step, plausible: [1, 21], right: plate.solid_step}
          go: [{when: "taken('plate.solid_step') && plate.solid_step < 4", to: done}]
    """),
)


@pytest.mark.parametrize("text", SOUND, ids=range(len(SOUND)))
def test_a_sound_procedure_has_no_problem(text: str) -> None:
    """What the rules allow is not told as a problem."""
    assert problems_of(text) == ()


def test_the_head_of_these_tests_is_sound_by_itself() -> None:
    """The head has no problem of its own, so every problem told is the case's."""
    assert HEAD.startswith("format: 1")
    assert problems_of(one_stage("- {id: one, do: First.}")) == ()
