"""The shape of a procedure file, as frozen pydantic models.

The models say what keys exist, of which type, and in words what each is for (the descriptions feed the
messages of `sinkside check` and the JSON Schema). What holds between parts of a file (targets, order,
hazards before what they cover) is in `checks`; expressions are in `expressions`.
"""

from __future__ import annotations

from typing import Annotated, Literal, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from trainer.procedure.names import ident, name
from trainer.procedure.quantity import Quantity, amount, quantity
from trainer.procedure.text import Text

T = TypeVar("T")

Many = Annotated[tuple[T, ...], Field(strict=False)]
"""A list in the file, a tuple in the program."""

Ident = Annotated[str, BeforeValidator(ident)]
"""Id of a procedure, stage, step or picture: `[a-z][a-z0-9-]{0,62}`."""

Name = Annotated[str, BeforeValidator(name)]
"""A name that CEL sees: `[a-z][a-z0-9_]*`, no reserved word of CEL."""

Measure = Annotated[Quantity, BeforeValidator(quantity)]
"""A number with a unit, written as text: `45 s`, `1 min 30 s`, `75 mL`, `60 days`."""

Amount = Annotated[Quantity | str, BeforeValidator(amount)]
"""A `Measure`, or the dotted name of a value: `settings.exposure`, `worked.units`."""

Formula = str
"""A CEL expression, compiled by `expressions` when the file is read."""

Number = int | float


class Part(BaseModel):
    """Common rules: nothing unknown, nothing converted, nothing changed after reading."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, defer_build=True)


class Setting(Part):
    """A number the shop owns; a shop file may override it within `between`."""

    value: Number = Field(description="The value where the shop has not set its own.")
    unit: str = Field(description="The unit the value is in.")
    between: Annotated[tuple[Number, Number], Field(strict=False)] = Field(
        description="The least and the greatest value a shop may set."
    )
    label: Text = Field(description="What the setting is called on the screen.")


class Supply(Part):
    """What is used up, counted again for every new plate where `per` is `plate`."""

    item: Text = Field(description="What it is.")
    amount: Number = Field(description="How much of it.")
    unit: str = Field(description="The unit of the amount; `each` for things that are counted.")
    per: Literal["plate", "run"] = Field(default="run", description="`plate` or `run`.")


class Ready(Part):
    """The rule an instructor states for who may work alone. Only wet solo runs count."""

    solo_runs: int = Field(ge=1, description="How many wet runs at guidance solo.")
    within: Measure = Field(description="Over how long a time, for instance `60 days`.")
    hazards: Literal["all"] | None = Field(default=None, description="`all`: every safety prompt read.")
    plate: Literal["passes"] | None = Field(
        default=None, description="`passes`: the last look was signed off as passed."
    )


class Hazard(Part):
    """A safety prompt. It shows at every level of guidance and cannot be turned off."""

    signal: Literal["danger", "warning", "caution"] = Field(description="`danger`, `warning` or `caution`.")
    harm: Text = Field(description="What can hurt whom, and how.")
    avoid: Many[Text] = Field(min_length=1, description="What to do so that it does not.")
    covers: Many[Ident] = Field(min_length=1, description="The steps that must not be reached without it.")
    always: bool = Field(default=False, description="Must also be accepted before the end.")


class Wait(Part):
    """One of: a countdown (`for`), a window (`at_least`, `at_most`), a dose (`dose`)."""

    for_: Amount | None = Field(default=None, alias="for", description="A countdown: `45 s`.")
    at_least: Amount | None = Field(default=None, description="Window: not before this.")
    at_most: Amount | None = Field(default=None, description="Window: not after this.")
    dose: Amount | None = Field(default=None, description="The integrator's count: `settings.exposure`.")


class Reading(Part):
    """A number the trainee reads off an instrument and types in."""

    name: Name = Field(description="Its name in expressions: `readings.NAME`.")
    unit: str = Field(description="The unit it is kept in.")
    plausible: Annotated[tuple[Number, Number], Field(strict=False)] = Field(
        description="Outside this it is a slip of the keys and is asked again."
    )
    ok: Formula | None = Field(default=None, description="When is the reading good? Left out: always.")
    right: Number | str = Field(description="What a right walk reads; never shown. A number or an expression.")
    miss: Text | None = Field(default=None, description="What to say and do when it is not good.")
    keeps: Literal["run"] | None = Field(default=None, description="`run`: kept when a plate is spoiled.")


class Judge(Part):
    """An observation by the trainee that may decide the way on."""

    name: Name = Field(description="Its name in expressions: `answers.NAME`.")
    ask: Text = Field(description="The question.")
    answers: dict[Name, Text] = Field(min_length=2, max_length=9, description="Key and words of each answer.")
    right: Name = Field(description="The answer on a good plate; for walks and rehearsals, never shown.")
    keeps: Literal["run"] | None = Field(default=None, description="`run`: kept when a plate is spoiled.")


class NumberAnswer(Part):
    """What is asked for in a quiz that wants a number."""

    unit: str = Field(description="The unit of the answer.")
    within: Number = Field(default=0, ge=0, description="How far off still counts as right.")


class Quiz(Part):
    """A question with one right answer, of one of four kinds; it always says why."""

    name: Name = Field(description="Its name in expressions: `answers.NAME`.")
    ask: Text = Field(description="The question.")
    choice: dict[Name, Text] | None = Field(
        default=None, min_length=2, max_length=9, description="One of several: key and words of each."
    )
    choices: dict[Name, Text] | None = Field(
        default=None, min_length=2, max_length=9, description="All that hold: key and words of each."
    )
    number: NumberAnswer | None = Field(default=None, description="A number: `{unit: units, within: 1}`.")
    order: dict[Name, Text] | None = Field(
        default=None, min_length=2, max_length=9, description="Put in order: key and words of each."
    )
    right: Number | Name | Many[Name] = Field(
        description="A key (choice), a list of keys (choices, order), or a number (number)."
    )
    because: Text = Field(description="Why the right answer is right; shown whatever was answered.")


class WorkOut(Part):
    """Computes a value and shows the working."""

    name: Name = Field(description="Its name in expressions: `worked.NAME`.")
    from_: Formula = Field(alias="from", description="The expression that gives it.")
    unit: str = Field(description="The unit of the result.")
    show: Text = Field(description="The rule in words, shown above the working.")
    keeps: Literal["run"] | None = Field(default=None, description="`run`: kept when a plate is spoiled.")


class OfferSetting(Part):
    """Proposes a new value for a shop setting; taking it needs an instructor's PIN."""

    setting: Name = Field(description="The setting, as declared under `settings`.")
    from_: Formula = Field(alias="from", description="The expression that gives the new value.")


class SignOff(Part):
    """An instructor's PIN and word on a step: passed, or not yet with a note."""

    of: Ident = Field(description="The step that is signed for.")
    name: Name | None = Field(
        default=None, description="Makes the word `answers.NAME`: 'passed' or 'not_yet'."
    )


class Go(Part):
    """One guarded way on; tried top to bottom when the task is finished."""

    when: Formula = Field(description="A true-or-false expression.")
    to: str = Field(description="A step's id, `done` or `stop`.")


class Step(Part):
    """One act, with at most one task."""

    id: Ident = Field(description="Unique in the file.")
    do: Text | None = Field(default=None, description="The act, as you would say it to the trainee.")
    key_points: Many[Text] = Field(default=(), description="What makes or breaks it.")
    why: Text | None = Field(default=None, description="The reason.")
    skill: Name | None = Field(default=None, description="One of the file's `skills`.")
    picture: Ident | None = Field(default=None, description="A drawing: `pictures/NAME.txt`.")
    aside: bool = Field(default=False, description="Reached only by `go` or `then`.")
    hazard: Hazard | None = Field(default=None, description="A safety prompt.")
    wait: Wait | None = Field(default=None, description="Let time go by.")
    reading: Reading | None = Field(default=None, description="A number off an instrument.")
    judge: Judge | None = Field(default=None, description="An observation that decides the way on.")
    quiz: Quiz | None = Field(default=None, description="A question.")
    work_out: WorkOut | None = Field(default=None, description="A value to compute and show.")
    offer_setting: OfferSetting | None = Field(default=None, description="A new shop value to propose.")
    sign_off: SignOff | None = Field(default=None, description="The instructor's word.")
    bench: dict[str, bool | Number | str] = Field(
        default_factory=dict, description="Bench controls a rehearsal operates here, with their right value."
    )
    go: Many[Go] = Field(default=(), description="Ways on, each with its condition.")
    then: str | None = Field(default=None, description="The way on when no `go` holds.")


class Stage(Part):
    """A part of the work with a name the trade uses."""

    id: Ident = Field(description="Unique among the stages.")
    title: Text = Field(description="What the trade calls it.")
    new_plate_from: Ident | None = Field(
        default=None, description="The step where a spoiled plate sends the run; left out: none can be spoiled."
    )
    steps: Many[Step] = Field(min_length=1, description="The acts, in order.")


class Procedure(Part):
    """A whole piece of work, from first act to last."""

    format: Literal[1] = Field(description="The version of this file format: 1.")
    id: Ident = Field(description="The same as the file's name without `.yaml`.")
    title: Text = Field(description="What the work is called.")
    revision: int = Field(ge=1, description="Counts up whenever the work changes.")
    summary: Text = Field(description="One or two sentences: what comes out, from what.")
    cautions: Many[Text] = Field(
        default=(), description="Shown before the first act: whose rules come before this file's."
    )
    settings: dict[Name, Setting] = Field(default_factory=dict, description="Numbers the shop owns.")
    supplies: Many[Supply] = Field(default=(), description="What is used up.")
    ready: Ready | None = Field(default=None, description="Who may work alone.")
    refresh_after: Measure | None = Field(default=None, description="When to do it again: `180 days`.")
    skills: dict[Name, Text] = Field(default_factory=dict, description="What is being learned.")
    stages: Many[Stage] = Field(min_length=1, description="The parts of the work, in order.")


TASKS = ("hazard", "wait", "reading", "judge", "quiz", "work_out", "offer_setting", "sign_off")
"""The keys of a step that are tasks; a step has at most one."""
