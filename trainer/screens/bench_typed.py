"""What is typed at a bench in lines of text: controls and where to, and words of its own. Pure.

The words are taken as they are shown, in the language spoken, and in English too; an accent may be left out.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import TYPE_CHECKING

from trainer.run.measured import unit_words
from trainer.run.refusals import Refused
from trainer.tongue import marked, spoken

if TYPE_CHECKING:
    from trainer.rehearsal.bench_view import BenchView, ControlView

COMMANDS = {
    "let": marked("let go"),
    "wait": marked("wait"),
    "speed": marked("speed"),
    "look": marked("look"),
    "bench": marked("bench"),
}
"""What a rehearsal takes beside the words of every run and its controls; the English word does as well."""
_HELP = (
    (marked("pump on"), "", marked("set a control: its name, then where to")),
    (marked("units 24"), "", marked("set a control that takes a number")),
    (COMMANDS["let"], "", marked("hands off what is only done while it is kept up")),
    (COMMANDS["wait"], "", marked("straight to the end of what goes on")),
    (COMMANDS["wait"], " 30", marked("let 30 seconds go by")),
    (COMMANDS["speed"], " 5", marked("let time go five times as fast in waits; 1: as it is")),
    (COMMANDS["look"], "", marked("what is to be seen on the film or the plate")),
    (COMMANDS["bench"], "", marked("all controls, where they stand, and what the instruments show")),
)
_EXAMPLE = 18
"""Cells for an example in the help."""


def help_lines() -> list[str]:
    """What a rehearsal takes, a line each with what it does."""
    return [f"{spoken(word) + more:<{_EXAMPLE}} {spoken(meaning)}" for word, more, meaning in _HELP]


def command_of(line: str) -> tuple[str, str]:
    """The word of the bench that a line begins with, as COMMANDS names it, and the rest; else two blanks."""
    said = _plain(line.replace("-", " "))
    for command, shown in COMMANDS.items():
        for word in (_plain(spoken(shown)), command):
            if said == word or said.startswith(f"{word} "):
                return command, said[len(word) :].strip()
    return "", ""


def control_of(line: str, bench: BenchView) -> tuple[ControlView, str] | None:
    """The control that a line begins with, and the rest of the line; of two that fit, the longer name."""
    said = _plain(line.replace("_", " ").replace("=", " "))
    fitting = [
        (name, control)
        for control in (*bench.controls, *bench.others)
        for name in (_plain(control.label), control.name.replace("_", " "))
        if said == name or said.startswith(f"{name} ")
    ]
    if not fitting:
        return None
    name, control = max(fitting, key=lambda one: len(one[0]))
    return control, said[len(name) :].strip()


def position(control: ControlView, said: str) -> str | float:
    """What a control is to be set to. Raises Refused where that cannot be told."""
    if control.kind == "number":
        return number(_without_unit(_plain(said), control.unit))
    wanted = _plain(said.replace("-", " "))
    for option in control.options:
        if wanted in (_plain(option.label), option.key.replace("-", " ")):
            return option.key
    takes = ", ".join(option.label for option in control.options)
    raise Refused(
        spoken(
            "{control} takes: {positions}. Type for instance: {example}",
            control=control.label,
            positions=takes,
            example=f"{control.label.lower()} {control.options[-1].label}",
        )
    )


def number(said: str) -> float:
    """A number as it was typed. Raises Refused."""
    from trainer.run import answers

    return answers.number(said.strip())


def _without_unit(said: str, unit: str) -> str:
    for end in _units(unit):
        if end and said.endswith(end):
            return said.removesuffix(end)
    return said


def _units(unit: str) -> Iterator[str]:
    yield _plain(unit)
    yield _plain(unit_words(unit))


def _plain(text: str) -> str:
    """Small letters without accents, one blank between words."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(one for one in apart if not unicodedata.combining(one)).split())
