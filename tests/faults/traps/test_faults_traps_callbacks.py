"""No text from a file becomes a callback: names of functions and methods stay texts, wherever they stand."""

from __future__ import annotations

import builtins
import importlib
import os
import subprocess
from collections import Counter
from collections.abc import Callable
from functools import partial
from typing import Any
from unittest.mock import patch

import pytest
import tripwire_target
from hostile_files import CALLS, places, renamed, with_word, worked_through
from run_kit import Sink, plan_with
from tripwire import armed

from trainer.procedure.expressions import Expression
from trainer.procedure.load import load_bytes
from trainer.run.machine import StepMachine

ACTS = 25


def try_words(step: int, first: int) -> Counter[bool]:
    """Load the plate with a word at every `step`th place, and run what loads. How many did, and did not."""
    loads: Counter[bool] = Counter()
    for number, place in enumerate(places()[first::step]):
        word = CALLS[(number + first) % len(CALLS)]
        source = with_word(place, word)
        with armed() as touched:
            loaded = load_bytes(source, "plate.yaml")
            if loaded.plan is not None:
                worked_through(loaded.plan, ACTS)
        assert touched == [], f"{word!r} at {place} was called: {touched}"
        loads[loaded.plan is not None] += 1
    return loads


def warm_up() -> None:
    """Whatever is imported, compiled or made only once is, before the wires are there."""
    worked_through(plan_with("revision: 2", "revision: 3"), 60)
    load_bytes(with_word(places()[0], "x"), "plate.yaml")


def test_words_at_some_places() -> None:
    """At one place in fourteen a name of something to call is a problem, or a text like any other."""
    warm_up()
    loads = try_words(14, 0)
    assert loads[True] > 2
    assert loads[False] > 3


@pytest.mark.long
@pytest.mark.parametrize("first", range(4))
def test_words_at_every_place(first: int) -> None:
    """The same at every place of the file."""
    warm_up()
    loads = try_words(4, first)
    assert min(loads[True], loads[False]) > 5


def test_a_file_of_such_names_only() -> None:
    """Where nearly every id and name is one of a method, the run does what it does with other names."""
    warm_up()
    plan = renamed()
    plain = worked_through(plan_with("revision: 2", "revision: 3"), 60)
    with armed() as touched:
        sink = worked_through(plan, 60)
    assert touched == []
    assert sink.run.state.closed == "done"
    assert [event.kind for event in map(_body, sink.events)] == [
        event.kind for event in map(_body, plain.events)
    ]
    assert {"trigger", "state", "to-done"} <= set(plan.steps)


def _body(event: Any) -> Any:  # noqa: ANN401 - a body of any kind
    return event.body


# Sabotaged builds

HOSTILE = partial(
    plan_with, "do: Lay the film on the light table and look for pinholes.", "do: tripwire_target.fire"
)


class CallsText(StepMachine):
    """Hands a text of the file to the library, which looks up and calls what it names."""

    def _add(self, trigger: str, source: str, to: str, condition: Any, why: Any) -> None:  # noqa: ANN401
        super()._add(trigger, source, to, condition, why)
        said = self._plan.steps[source].do if source in self._plan.steps else None
        ways = self._machine.events[trigger].transitions[self._name(source)]
        if isinstance(said, str) and "." in said.strip("."):
            ways[-1].add_callback("after", said)


def evaluated(self: Expression, values: object) -> bool:
    """Asks Python what a condition comes to."""
    del values
    return bool(eval(self.text))  # noqa: S307 - just what must be noticed


def test_a_machine_that_calls_texts_is_noticed() -> None:
    """A build that gives the library a text of the file touches the wire."""
    with patch("trainer.run.session.StepMachine", CallsText), armed() as touched:
        worked_through(HOSTILE(), 2)
    assert touched == ["__import__ tripwire_target", "fire"]


def test_a_condition_that_is_evaluated_is_noticed() -> None:
    """A build that lets Python work out a condition touches the wire."""
    sink = Sink.open("full").until("film-clean")
    with patch.object(Expression, "truth", evaluated), armed() as touched:
        sink.right()
    assert "eval" in touched


@pytest.mark.parametrize(
    ("name", "call"),
    [
        ("system", lambda: os.system("true")),  # noqa: S605
        ("popen", lambda: os.popen("true")),  # noqa: S605
        ("abort", lambda: os.abort()),  # noqa: PLW0108 - looked up when called
        ("_exit", lambda: os._exit(3)),
        ("execv", lambda: os.execv("/bin/true", ["true"])),  # noqa: S606
        ("getcwd", lambda: os.getcwd()),  # noqa: PLW0108, PTH109
        ("Popen", lambda: subprocess.Popen(["true"])),
        ("run", lambda: subprocess.run(["true"], check=False)),
        ("import_module", lambda: importlib.import_module("os")),
        ("eval", lambda: builtins.eval("1")),  # noqa: S307
        ("exec", lambda: builtins.exec("1")),  # noqa: S102
        ("compile", lambda: builtins.compile("1", "x", "eval")),
        ("fire", lambda: tripwire_target.fire()),  # noqa: PLW0108
        ("__import__ os", lambda: __import__("os")),
    ],
)
def test_each_wire_is_live(name: str, call: Callable[[], object]) -> None:
    """Each way to call something by its name is noticed, and not done."""
    with armed() as touched:
        call()
    assert touched == [name]
