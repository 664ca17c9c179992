"""The shape of a procedure file, as frozen records.

They say what keys exist, of which type, and in words what each is for. `shaping` reads them from a file:
nothing unknown, nothing converted, a list becomes a tuple. What holds between parts of a file (targets,
order, hazards before what they cover) is in `checks`; expressions are in `expressions`.
"""

# No `from __future__ import annotations`: the types are read when the classes are made.

from typing import Annotated, Literal

from trainer.procedure.names import ident, name
from trainer.procedure.parts import Part, key
from trainer.procedure.quantity import Quantity, amount, quantity
from trainer.procedure.text import Text

Ident = Annotated[str, ident]
"""Id of a procedure, stage, step or picture: `[a-z][a-z0-9-]{0,62}`."""

Name = Annotated[str, name]
"""A name that CEL sees: `[a-z][a-z0-9_]*`, no reserved word of CEL."""

Measure = Annotated[Quantity, quantity]
"""A number with a unit, written as text: `45 s`, `1 min 30 s`, `75 mL`, `60 days`."""

Amount = Annotated[Quantity | str, amount]
"""A `Measure`, or the dotted name of a value: `settings.exposure`, `worked.units`."""

Formula = str
"""A CEL expression, compiled by `expressions` when the file is read."""

Number = int | float


class Setting(Part):
    """A number the shop owns; a shop file may override it within `between`."""

    value: Number = key("The value where the shop has not set its own.")
    unit: str = key("The unit the value is in.")
    between: tuple[Number, Number] = key("The least and the greatest value a shop may set.")
    label: Text = key("What the setting is called on the screen.")


class Supply(Part):
    """What is used up, counted again for every new plate where `per` is `plate`."""

    item: Text = key("What it is.")
    amount: Number = key("How much of it.")
    unit: str = key("The unit of the amount; `each` for things that are counted.")
    per: Literal["plate", "run"] = key("`plate` or `run`.", default="run")


class Ready(Part):
    """The rule an instructor states for who may work alone. Only wet solo runs count."""

    solo_runs: int = key("How many wet runs at guidance solo.", least=1)
    within: Measure = key("Over how long a time, for instance `60 days`.")
    hazards: Literal["all"] | None = key("`all`: every safety prompt read.", default=None)
    plate: Literal["passes"] | None = key("`passes`: the last look was signed off as passed.", default=None)


class Hazard(Part):
    """A safety prompt. It shows at every level of guidance and cannot be turned off."""

    signal: Literal["danger", "warning", "caution"] = key("`danger`, `warning` or `caution`.")
    harm: Text = key("What can hurt whom, and how.")
    avoid: tuple[Text, ...] = key("What to do so that it does not.", few=1)
    covers: tuple[Ident, ...] = key("The steps that must not be reached without it.", few=1)
    always: bool = key("Must also be accepted before the end.", default=False)


class Wait(Part):
    """One of: a countdown (`for`), a window (`at_least`, `at_most`), a dose (`dose`)."""

    for_: Amount | None = key("A countdown: `45 s`.", default=None, written="for")
    at_least: Amount | None = key("Window: not before this.", default=None)
    at_most: Amount | None = key("Window: not after this.", default=None)
    dose: Amount | None = key("The integrator's count: `settings.exposure`.", default=None)


class Reading(Part):
    """A number the trainee reads off an instrument and types in."""

    name: Name = key("Its name in expressions: `readings.NAME`.")
    unit: str = key("The unit it is kept in.")
    plausible: tuple[Number, Number] = key("Outside this it is a slip of the keys and is asked again.")
    ok: Formula | None = key("When is the reading good? Left out: always.", default=None)
    right: Number | str = key("What a right walk reads; never shown. A number or an expression.")
    miss: Text | None = key("What to say and do when it is not good.", default=None)
    keeps: Literal["run"] | None = key("`run`: kept when a plate is spoiled.", default=None)


class Judge(Part):
    """An observation by the trainee that may decide the way on."""

    name: Name = key("Its name in expressions: `answers.NAME`.")
    ask: Text = key("The question.")
    answers: dict[Name, Text] = key("Key and words of each answer.", few=2, many=9)
    right: Name = key("The answer on a good plate; for walks and rehearsals, never shown.")
    seen: dict[Name, Formula] = key(
        "In a rehearsal, the answer that the bench shows: the first whose formula holds; else `right`.",
        default_factory=dict,
    )
    keeps: Literal["run"] | None = key("`run`: kept when a plate is spoiled.", default=None)


class NumberAnswer(Part):
    """What is asked for in a quiz that wants a number."""

    unit: str = key("The unit of the answer.")
    within: Number = key("How far off still counts as right.", default=0, least=0)


class Quiz(Part):
    """A question with one right answer, of one of four kinds; it always says why."""

    name: Name = key("Its name in expressions: `answers.NAME`.")
    ask: Text = key("The question.")
    choice: dict[Name, Text] | None = key(
        "One of several: key and words of each.", default=None, few=2, many=9
    )
    choices: dict[Name, Text] | None = key(
        "All that hold: key and words of each.", default=None, few=2, many=9
    )
    number: NumberAnswer | None = key("A number: `{unit: units, within: 1}`.", default=None)
    order: dict[Name, Text] | None = key("Put in order: key and words of each.", default=None, few=2, many=9)
    right: Number | Name | tuple[Name, ...] = key(
        "A key (choice), a list of keys (choices, order), or a number (number)."
    )
    because: Text = key("Why the right answer is right; shown whatever was answered.")


class WorkOut(Part):
    """Computes a value and shows the working."""

    name: Name = key("Its name in expressions: `worked.NAME`.")
    from_: Formula = key("The expression that gives it.", written="from")
    unit: str = key("The unit of the result.")
    show: Text = key("The rule in words, shown above the working.")
    keeps: Literal["run"] | None = key("`run`: kept when a plate is spoiled.", default=None)


class OfferSetting(Part):
    """Proposes a new value for a shop setting; taking it needs an instructor's PIN."""

    setting: Name = key("The setting, as declared under `settings`.")
    from_: Formula = key("The expression that gives the new value.", written="from")


class SignOff(Part):
    """An instructor's PIN and word on a step: passed, or not yet with a note."""

    of: Ident = key("The step that is signed for.")
    name: Name | None = key("Makes the word `answers.NAME`: 'passed' or 'not_yet'.", default=None)


class Go(Part):
    """One guarded way on; tried top to bottom when the task is finished."""

    when: Formula = key("A true-or-false expression.")
    to: str = key("A step's id, `done` or `stop`.")


class Step(Part):
    """One act, with at most one task."""

    id: Ident = key("Unique in the file.")
    do: Text | None = key("The act, as you would say it to the trainee.", default=None)
    key_points: tuple[Text, ...] = key("What makes or breaks it.", default=())
    why: Text | None = key("The reason.", default=None)
    skill: Name | None = key("One of the file's `skills`.", default=None)
    picture: Ident | None = key("A drawing: `pictures/NAME.txt`.", default=None)
    aside: bool = key("Reached only by `go` or `then`.", default=False)
    hazard: Hazard | None = key("A safety prompt.", default=None)
    wait: Wait | None = key("Let time go by.", default=None)
    reading: Reading | None = key("A number off an instrument.", default=None)
    judge: Judge | None = key("An observation that decides the way on.", default=None)
    quiz: Quiz | None = key("A question.", default=None)
    work_out: WorkOut | None = key("A value to compute and show.", default=None)
    offer_setting: OfferSetting | None = key("A new shop value to propose.", default=None)
    sign_off: SignOff | None = key("The instructor's word.", default=None)
    bench: dict[str, bool | Number | str] = key(
        "Bench controls a rehearsal operates here, with their right value.", default_factory=dict
    )
    go: tuple[Go, ...] = key("Ways on, each with its condition.", default=())
    then: str | None = key("The way on when no `go` holds.", default=None)


class Stage(Part):
    """A part of the work with a name the trade uses."""

    id: Ident = key("Unique among the stages.")
    title: Text = key("What the trade calls it.")
    new_plate_from: Ident | None = key(
        "The step where a spoiled plate sends the run; left out: none can be spoiled.", default=None
    )
    steps: tuple[Step, ...] = key("The acts, in order.", few=1)


class Procedure(Part):
    """A whole piece of work, from first act to last."""

    format: Literal[1] = key("The version of this file format: 1.")
    id: Ident = key("The same as the file's name without `.yaml`.")
    title: Text = key("What the work is called.")
    revision: int = key("Counts up whenever the work changes.", least=1)
    summary: Text = key("One or two sentences: what comes out, from what.")
    cautions: tuple[Text, ...] = key(
        "Shown before the first act: whose rules come before this file's.", default=()
    )
    artwork: Ident | None = key("What is on the films of a rehearsal: a job of `assets/jobs`.", default=None)
    settings: dict[Name, Setting] = key("Numbers the shop owns.", default_factory=dict)
    supplies: tuple[Supply, ...] = key("What is used up.", default=())
    ready: Ready | None = key("Who may work alone.", default=None)
    refresh_after: Measure | None = key("When to do it again: `180 days`.", default=None)
    skills: dict[Name, Text] = key("What is being learned.", default_factory=dict)
    stages: tuple[Stage, ...] = key("The parts of the work, in order.", few=1)


TASKS = ("hazard", "wait", "reading", "judge", "quiz", "work_out", "offer_setting", "sign_off")
"""The keys of a step that are tasks; a step has at most one."""
